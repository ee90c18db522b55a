"""The reverse proxy that speaks HTTPS in front of the program: whose word counts; no Django."""

import ipaddress
import os
import sys
from typing import Any

from breeding.words.language import tell

VARIABLE = "RAYWARD_BEHIND_PROXY"
OPTION = "--behind-proxy"
HERE = "127.0.0.1"
ANYBODY = "*"


def choose(arguments: list[str]) -> None:
    """Put what `--behind-proxy [ADDRESS]` says where the settings find it; it wins."""
    for position, argument in enumerate(arguments):
        if argument == OPTION:
            follows = arguments[position + 1 : position + 2]
            is_named = bool(follows) and not follows[0].startswith("-")
            os.environ[VARIABLE] = follows[0] if is_named else HERE
        elif argument.startswith(f"{OPTION}="):
            os.environ[VARIABLE] = argument.partition("=")[2] or HERE
    try:
        trusted()
    except ValueError as problem:
        sys.exit(str(problem))


def trusted() -> str:
    """The address whose forwarded headers are believed; empty: there is no proxy, nobody's are.

    Raises ValueError for what is no address: a name could lead to somebody else tomorrow.
    """
    said = os.environ.get(VARIABLE, "").strip()
    if said in ("", "0"):
        return ""
    if said in ("1", "localhost"):
        return HERE
    if said == ANYBODY:
        return said
    try:
        return str(ipaddress.ip_address(said.strip("[]")))
    except ValueError:
        raise ValueError(
            tell(
                "{option} {value}: not the address of a proxy; write it like {example}, or * where "
                "nobody but the proxy can reach this port.",
                option=OPTION,
                value=said,
                example=HERE,
            )
        ) from None


def for_waitress(address: str) -> dict[str, Any]:
    """How waitress is told: from everybody else such headers are taken away."""
    if not address:
        return {"clear_untrusted_proxy_headers": True}
    return {
        "trusted_proxy": address,
        "trusted_proxy_count": 1,
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
        "clear_untrusted_proxy_headers": True,
    }
