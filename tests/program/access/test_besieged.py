"""A real server with strangers at its door: whoever is signed in goes on reading."""

import socket
import statistics
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from http.cookiejar import CookieJar
from types import SimpleNamespace

import pytest

from breeding.program.access.door import MOST_CONNECTIONS, make_room
from tests.browser.real import RealProgram
from tests.browser.test_real_program import Keeper, hidden

STRANGERS, PAGE, ROUNDS = 12, "/animals/", 3
HALF_OPEN = (
    b"",
    b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ",
    b"POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 900000\r\n\r\nusername=",
)


@pytest.fixture(scope="module")
def program(tmp_path_factory):
    real = RealProgram(tmp_path_factory.mktemp("besieged") / "home")
    try:
        real.start()
        real.write_people()
        yield real
    finally:
        real.kill()


@pytest.fixture(scope="module")
def sam(program):
    return Keeper(program, "sam")


def seconds_for_a_page(keeper) -> float:
    began = time.perf_counter()
    assert "<table" in keeper.get(PAGE)
    return time.perf_counter() - began


class Stranger:
    """Somebody who tries a password for a name that nobody has, again and again."""

    def __init__(self, program, number: int) -> None:
        self.url, self.name, self.answers = f"{program.url}/sign-in/", f"stranger{number}", []
        cookies = urllib.request.HTTPCookieProcessor(CookieJar())
        self.opener = urllib.request.build_opener(cookies)
        self.token = hidden(self.opener.open(self.url, timeout=60).read().decode())

    def tries(self, until: threading.Event) -> None:
        fields = {**self.token, "username": self.name, "password": "a-guess-in-the-dark"}
        sent = urllib.parse.urlencode(fields).encode()
        while not until.is_set():
            try:
                answer = self.opener.open(self.url, sent, timeout=60)
            except urllib.error.HTTPError as refused:
                answer = refused
            self.answers.append((answer.status, answer.read().decode()))
            time.sleep(0.05)

    def reads(self, until: threading.Event) -> None:
        """As much traffic without a password in it: what the same visitors cost by themselves."""
        while not until.is_set():
            self.opener.open(self.url, timeout=60).read()
            time.sleep(0.05)


def seconds_beside(acts, sam) -> float:
    """How long a page takes, in the middle of seven, while each of these is going on."""
    enough = threading.Event()
    threads = [threading.Thread(target=act, args=[enough]) for act in acts]
    for one in threads:
        one.start()
    time.sleep(1)
    seconds = statistics.median(seconds_for_a_page(sam) for _ in range(7))
    enough.set()
    for one in threads:
        one.join()
    return seconds


def test_twelve_strangers_who_sign_in_wrongly_do_not_stop_a_page(program, sam):
    """A ratio in one run, against as many who only read, in the best of a few rounds."""
    ratios = []
    strangers = [Stranger(program, number) for number in range(STRANGERS)]
    for _ in range(ROUNDS):
        beside_readers = seconds_beside([one.reads for one in strangers], sam)
        besieged = seconds_beside([one.tries for one in strangers], sam)
        ratios.append(besieged / beside_readers)
        if ratios[-1] < 5:
            break
    answers = [answer for one in strangers for answer in one.answers]
    assert {status for status, _ in answers} <= {200, 429, 503}
    turned_away = [page for status, page in answers if status == 503]
    assert turned_away
    assert all("try again in a few seconds" in page for page in turned_away)
    assert any(status == 200 for status, _ in answers)  # some were looked at
    assert min(ratios) < 5, f"{ratios} times as long as beside readers"


@pytest.mark.parametrize("many", [150, MOST_CONNECTIONS + 50])
def test_half_open_connections_do_not_shut_the_door(program, sam, many):
    standing = []
    try:
        for number in range(many):
            visitor = socket.create_connection(("127.0.0.1", program.port), timeout=20)
            standing.append(visitor)
            visitor.sendall(HALF_OPEN[number % len(HALF_OPEN)])
        assert seconds_for_a_page(sam) < 10
        assert (
            "Sign in"
            in urllib.request.urlopen(f"{program.url}/sign-in/", timeout=20).read().decode()
        )
    finally:
        for one in standing:
            one.close()


def connection(last_activity: int, **more):
    facts = {"requests": [], "request": None, "total_outbufs_len": 0, "creation_time": 0}
    return SimpleNamespace(last_activity=last_activity, will_close=False, **(facts | more))


def test_the_connection_that_does_the_least_makes_room():
    at_work = connection(1, requests=["a page"])
    kept_alive, slow_body = (
        connection(2),
        connection(1, request=SimpleNamespace(headers_finished=1)),
    )
    silent, silent_longer = connection(5, creation_time=5), connection(4, creation_time=4)
    standing = [at_work, kept_alive, slow_body, silent, silent_longer]
    make_room(standing, most=6)
    assert not any(one.will_close for one in standing)
    for expected in (silent_longer, silent, kept_alive, slow_body):
        make_room(standing, most=len(standing))
        assert expected.will_close
        standing.remove(expected)
    make_room(standing, most=1)
    assert not at_work.will_close
