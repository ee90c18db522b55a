"""A real mail server on this machine that takes, refuses, drops the connection, and is gone."""

import email
import email.policy
import socket

from aiosmtpd.controller import Controller

from breeding.mail import Mail


class Postbox:
    """`mood`: "take", "later" (450), "never" (550), "drop" before taking or "drop after" it."""

    def __init__(self):
        self.taken, self.tried, self.mood = [], 0, "take"
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.controller = None

    def open(self):
        self.controller = Controller(self, hostname="127.0.0.1", port=self.port)
        self.controller.start()

    def close(self):
        if self.controller is not None:
            self.controller.stop()
            self.controller = None

    def mail(self):
        return Mail(host="127.0.0.1", port=self.port, sender="rays@example.org")

    async def handle_RCPT(self, server, session, envelope, address, options):  # noqa: N802
        self.tried += 1
        if self.mood == "later":
            return "450 4.2.0 Come back later"
        if self.mood == "never":
            return "550 5.1.1 No such mailbox"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):  # noqa: N802
        if self.mood != "drop":
            self.taken.append(
                email.message_from_bytes(envelope.content, policy=email.policy.default)
            )
        if self.mood.startswith("drop"):
            server.transport.abort()
        return "250 Taken"
