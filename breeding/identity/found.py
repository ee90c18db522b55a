"""What of pictures of nobody yet can be found."""

from breeding.identity.models import UntoldPicture
from breeding.program.found import Found

FOUND = (Found("untold", UntoldPicture, "notes", texts=("note",)),)
