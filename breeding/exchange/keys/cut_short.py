"""What a start looks for: a renewal of the key after which the machine stopped."""

from breeding import home
from breeding.program.serving.refusals import Asked


def settle_before_serving(asked: Asked) -> None:
    """A renewal that was cut short is finished, or what is left of it is taken away."""
    left = asked.home / home.NEXT_KEY_FILE
    if not left.exists():
        return
    from breeding.exchange.keys.own import settle

    settle()
    left.unlink(missing_ok=True)
