"""What went wrong with mail, in words that help and hold no secret."""

import smtplib
import socket
import ssl

from breeding.mail import TIMEOUT_SECONDS, Mail
from breeding.words.language import tell
from breeding.words.system import why_refused

MOST_LETTERS = 300


def problem_words(problem: Exception, mail: Mail | None) -> str:
    """One sentence or two for the keeper; what the server said is repeated without secrets."""
    place = (
        tell("{host}, port {port}", host=mail.host, port=mail.port)
        if mail
        else tell("the mail server")
    )
    return _without_secrets(_words(problem, place), mail)[:MOST_LETTERS]


def _words(problem: Exception, place: str) -> str:
    match problem:
        case smtplib.SMTPAuthenticationError():
            return tell(
                "{place} refused the user or the password ({code}).",
                place=place,
                code=problem.smtp_code,
            )
        case smtplib.SMTPRecipientsRefused():
            said = "; ".join(f"{who}: {_said(*why)}" for who, why in problem.recipients.items())
            return tell("{place} does not take mail for {said}", place=place, said=said)
        case smtplib.SMTPSenderRefused():
            said = _said(problem.smtp_code, problem.smtp_error)
            return tell(
                "{place} does not take mail from {sender}: {said}",
                place=place,
                sender=problem.sender,
                said=said,
            )
        case smtplib.SMTPResponseException():
            said = _said(problem.smtp_code, problem.smtp_error)
            return tell("{place} answered {said}", place=place, said=said)
        case smtplib.SMTPServerDisconnected():
            return tell("{place} dropped the connection.", place=place)
        case smtplib.SMTPNotSupportedError():
            return tell(
                "{place} does not offer what is needed: {problem}", place=place, problem=problem
            )
        case ssl.SSLCertVerificationError():
            return tell(
                "The certificate of {place} is not to be trusted: {problem}.",
                place=place,
                problem=problem.verify_message,
            )
        case ssl.SSLError():
            return tell(
                "Encryption with {place} failed; smtps:// goes with port 465 as a rule, "
                "smtp:// with 587.",
                place=place,
            )
        case socket.gaierror():
            return tell("The name of {place} is not known to this machine's network.", place=place)
        case TimeoutError():
            return tell(
                "{place} did not answer within {seconds} seconds.",
                place=place,
                seconds=TIMEOUT_SECONDS,
            )
        case ConnectionRefusedError():
            return tell("Nothing takes mail at {place}: the connection was refused.", place=place)
        case OSError():
            return tell(
                "{place} cannot be reached: {problem}.",
                place=place,
                problem=why_refused(problem),
            )
    return tell(
        "The mail could not be written ({problem}); the log says more.",
        problem=type(problem).__name__,
    )


def _said(code: int, text: bytes | str) -> str:
    words = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    return f"{code} {' '.join(words.split())}"


def _without_secrets(words: str, mail: Mail | None) -> str:
    for secret in (mail.password, mail.user) if mail else ():
        if secret:
            words = words.replace(secret, "…")
    return words
