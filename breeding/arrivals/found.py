"""What of arrivals and loans can be found, by those who may see from whom and on what terms."""

from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.program.found import Found

FOUND = (
    Found("arrival", Arrival, "notes", texts=("papers", "note"), readers="buyers"),
    Found("loan_agreement", LoanAgreement, "notes", texts=("terms",), readers="buyers"),
)
