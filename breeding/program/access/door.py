"""The server's door: however many connections stand in it half open, the next one gets in."""

from typing import Any

from waitress import create_server
from waitress.channel import HTTPChannel
from waitress.server import BaseWSGIServer

MOST_CONNECTIONS = 400  # below the 1024 files that a process may have open on most machines
LIMITS: dict[str, Any] = {
    "connection_limit": MOST_CONNECTIONS + 100,  # never reached: room is made before
    "channel_timeout": 30,  # seconds without a sign of life
    "cleanup_interval": 5,
    "asyncore_use_poll": True,
    "max_request_header_size": 32 * 1024,
    "max_request_body_size": 256 * 1024 * 1024,
}
NEVER = 9


class RoomMakingChannel(HTTPChannel):
    """A connection; when there are too many, the one that does the least goes for it.

    Bodies that come a byte at a time take no thread: waitress collects them beside its work.
    """

    def __init__(self, server: Any, *args: Any, **more: Any) -> None:
        make_room(server.active_channels.values())
        super().__init__(server, *args, **more)


def make_room(channels: Any, most: int = MOST_CONNECTIONS) -> None:
    """Close the connection that is worth the least, when there are as many as may be."""
    standing = [one for one in channels if not one.will_close]
    if len(standing) < most:
        return
    least = min(standing, key=lambda one: (_worth(one), one.last_activity))
    if _worth(least) < NEVER:
        least.will_close = True


def _worth(channel: Any) -> int:
    """From one that has said nothing yet to one whose request is being answered."""
    if channel.requests:
        return NEVER
    if channel.total_outbufs_len:
        return 4  # it is being sent an answer
    if channel.request is not None:
        return 3 if channel.request.headers_finished else 1
    return 2 if channel.last_activity > channel.creation_time else 0


def open_door(application: Any, **settings: Any) -> Any:
    """The server, listening; `settings` are those of waitress and win over the limits here."""
    BaseWSGIServer.channel_class = RoomMakingChannel
    return create_server(application, **(LIMITS | settings))
