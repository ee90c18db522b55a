"""Why the system refuses a file, a disk or an address, as it says itself."""

from breeding.words.language import message, tell

# As the system words them; what is not among them is said as it comes.
SAID = (
    message("No such file or directory"),
    message("Permission denied"),
    message("Operation not permitted"),
    message("Is a directory"),
    message("Not a directory"),
    message("Directory not empty"),
    message("File exists"),
    message("File name too long"),
    message("Read-only file system"),
    message("No space left on device"),
    message("Disk quota exceeded"),
    message("Input/output error"),
    message("Too many open files"),
    message("Address already in use"),
    message("Cannot assign requested address"),
    message("Connection refused"),
    message("Connection reset by peer"),
    message("Connection timed out"),
    message("Network is unreachable"),
    message("No route to host"),
    message("Name or service not known"),
    message("Temporary failure in name resolution"),
    message("timed out"),
)


def why_refused(problem: OSError) -> str:
    """What the system says, without the number and the name of the file.

    >>> why_refused(FileNotFoundError(2, "No such file or directory", "rays.zip"))
    'No such file or directory'
    >>> why_refused(TimeoutError("timed out"))
    'timed out'
    """
    return tell(problem.strerror or str(problem))
