"""A program under load: devices that write through HTTP and remember what was taken."""

import io
import re
import secrets
import threading
import urllib.error
import urllib.parse
import urllib.request
import uuid
from http.client import HTTPException
from http.cookiejar import CookieJar
from typing import Any

import psycopg
from django.core.signing import Signer
from PIL import Image

from tests.browser.real import RealProgram
from tests.cast import PASSWORD


class NotAnswered(Exception):  # noqa: N818
    """The server died, or refused: whether it was written is not known on the device."""


class _Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args: Any) -> None:
        return None


class Device:
    """Somebody's device that speaks HTTP without a browser."""

    def __init__(self, program: RealProgram, username: str = "sam") -> None:
        self.url = program.url
        self.cookies = CookieJar()
        keep = urllib.request.HTTPCookieProcessor(self.cookies)
        self.opener = urllib.request.build_opener(keep, _Stay())
        page = self.get("/sign-in/")
        found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
        assert found
        self.hidden = {"csrfmiddlewaretoken": found[1]}
        self.send("/sign-in/", {"username": username, "password": PASSWORD})
        self.hidden = {"csrfmiddlewaretoken": self._token_of_site()}
        self.person = program.rows(f"SELECT id FROM program_person WHERE username = '{username}'")[
            0
        ][0]
        key = (program.home / "secret_key").read_text()
        self.signer = Signer(key=key, salt="once")

    def get(self, path: str) -> str:
        return str(self.opener.open(self.url + path, timeout=60).read().decode())

    def new_token(self) -> str:
        """As a page would carry it."""
        return self.signer.sign(f"{self.person}.{secrets.token_hex(8)}")

    def send(self, path: str, fields: dict[str, Any]) -> None:
        """Taken, or NotAnswered with the status."""
        self._post(path, urllib.parse.urlencode({**self.hidden, **fields}).encode(), {})

    def send_picture(self, path: str, fields: dict[str, Any], picture: bytes) -> None:
        border = uuid.uuid4().hex
        parts = [
            f'--{border}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
            for name, value in {**self.hidden, **fields}.items()
        ]
        head = (
            f'--{border}\r\nContent-Disposition: form-data; name="file"; filename="ray.jpg"\r\n'
            "Content-Type: image/jpeg\r\n\r\n"
        )
        body = "".join(parts).encode() + head.encode() + picture + f"\r\n--{border}--\r\n".encode()
        self._post(path, body, {"Content-Type": f"multipart/form-data; boundary={border}"})

    def _post(self, path: str, body: bytes, headers: dict[str, str]) -> None:
        sent = urllib.request.Request(self.url + path, body, headers)
        try:
            status, to = 200, self.opener.open(sent, timeout=60).geturl()
        except urllib.error.HTTPError as answer:
            status, to = answer.code, answer.headers.get("Location", "")
            answer.close()
        except (OSError, HTTPException) as problem:
            raise NotAnswered(str(problem)) from problem
        if status != 302 or "/sign-in/" in to:
            raise NotAnswered(f"{status} {to}")

    def _token_of_site(self) -> str:
        return next(str(one.value) for one in self.cookies if one.name == "rayward_csrf")


class Load:
    """Several devices that write sightings, each with a word of its own, until told to stop."""

    def __init__(self, program: RealProgram, *, devices: int, most: int = 10**9) -> None:
        self.program, self.most = program, most
        self.acknowledged: list[str] = []
        self.refused: list[str] = []
        self.female = program.rows("SELECT id FROM animals_animal WHERE call_name = 'Mira'")[0][0]
        self.kind = program.rows("SELECT id FROM pairings_signkind WHERE key = 'copulation'")[0][0]
        self.stopped = threading.Event()
        self.begun = 0
        self.lock = threading.Lock()
        self.threads = [
            threading.Thread(target=self._write, args=(Device(program),), daemon=True)
            for _ in range(devices)
        ]

    def start(self) -> None:
        for one in self.threads:
            one.start()

    def stop(self) -> None:
        self.stopped.set()
        self.join()

    def join(self) -> None:
        for one in self.threads:
            one.join(120)
        assert not any(one.is_alive() for one in self.threads)

    def _write(self, device: Device) -> None:
        while not self.stopped.is_set():
            with self.lock:
                if self.begun >= self.most:
                    return
                self.begun += 1
            self._until_taken(device, f"write-{secrets.token_hex(6)}")

    def _until_taken(self, device: Device, word: str) -> None:
        fields = {"once": device.new_token(), "female": self.female, "kind": self.kind}
        while not self.stopped.is_set():
            try:
                device.send("/pairings/log/", {**fields, "note": word})
                self.acknowledged.append(word)
                return
            except NotAnswered as problem:
                self.refused.append(str(problem))
                self.stopped.wait(0.2)


class OnPostgres(RealProgram):
    """The same with a database of its own on the server that the tests use."""

    def __init__(self, home: Any, server: str) -> None:
        super().__init__(home)
        self.server, self.name = server, f"drill_{secrets.token_hex(4)}"
        self._ask_server(f"CREATE DATABASE {self.name}")
        self.address = f"{server.rpartition('/')[0]}/{self.name}"
        self.environment["RAYWARD_DATABASE"] = self.address

    def rows(self, query: str) -> list[tuple[Any, ...]]:
        with psycopg.connect(self.address) as database:
            return database.execute(query).fetchall()

    def empty(self) -> None:
        self.drop()
        self._ask_server(f"CREATE DATABASE {self.name}")

    def drop(self) -> None:
        self._ask_server(f"DROP DATABASE {self.name} WITH (FORCE)")

    def _ask_server(self, words: str) -> None:
        with psycopg.connect(self.server, autocommit=True) as server:
            server.execute(words)


def a_picture(shade: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (320, 240), (shade % 256, 90, 120)).save(out, "JPEG")
    return out.getvalue()
