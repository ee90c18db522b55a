"""What went wrong with mail, in words that help and hold no secret."""

import smtplib
import socket
import ssl

from breeding.mail import TIMEOUT_SECONDS, Mail

MOST_LETTERS = 300


def problem_words(problem: Exception, mail: Mail | None) -> str:
    """One sentence or two for the keeper; what the server said is repeated without secrets."""
    place = f"{mail.host}, port {mail.port}" if mail else "the mail server"
    return _without_secrets(_words(problem, place), mail)[:MOST_LETTERS]


def _words(problem: Exception, place: str) -> str:
    match problem:
        case smtplib.SMTPAuthenticationError():
            return f"{place} refused the user or the password ({problem.smtp_code})."
        case smtplib.SMTPRecipientsRefused():
            said = "; ".join(f"{who}: {_said(*why)}" for who, why in problem.recipients.items())
            return f"{place} does not take mail for {said}"
        case smtplib.SMTPSenderRefused():
            said = _said(problem.smtp_code, problem.smtp_error)
            return f"{place} does not take mail from {problem.sender}: {said}"
        case smtplib.SMTPResponseException():
            return f"{place} answered {_said(problem.smtp_code, problem.smtp_error)}"
        case smtplib.SMTPServerDisconnected():
            return f"{place} dropped the connection."
        case smtplib.SMTPNotSupportedError():
            return f"{place} does not offer what is needed: {problem}"
        case ssl.SSLCertVerificationError():
            return f"The certificate of {place} is not to be trusted: {problem.verify_message}."
        case ssl.SSLError():
            return (
                f"Encryption with {place} failed; smtps:// goes with port 465 as a rule, smtp:// "
                "with 587."
            )
        case socket.gaierror():
            return f"The name of {place} is not known to this machine's network."
        case TimeoutError():
            return f"{place} did not answer within {TIMEOUT_SECONDS} seconds."
        case ConnectionRefusedError():
            return f"Nothing takes mail at {place}: the connection was refused."
        case OSError():
            return f"{place} cannot be reached: {problem.strerror or problem}."
    return f"The mail could not be written ({type(problem).__name__}); the log says more."


def _said(code: int, text: bytes | str) -> str:
    words = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    return f"{code} {' '.join(words.split())}"


def _without_secrets(words: str, mail: Mail | None) -> str:
    for secret in (mail.password, mail.user) if mail else ():
        if secret:
            words = words.replace(secret, "…")
    return words
