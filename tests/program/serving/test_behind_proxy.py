"""Behind a proxy that speaks HTTPS: its word counts and nobody else's; the set-up as written."""

import http.client
import os
import re
import shutil
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.parse import urlencode

import pytest

from breeding import proxy

ROOT = Path(proxy.__file__).parents[1]
DEPLOY = ROOT / "deploy"
NAME = "rays.home.arpa"
OF_THE_TESTS = (
    "DJANGO_SETTINGS_MODULE",
    "DJANGO_ALLOW_ASYNC_UNSAFE",
    "RAYWARD_DATABASE",
    "RAYWARD_HOME",
)


def bare() -> dict[str, str]:
    return {name: value for name, value in os.environ.items() if name not in OF_THE_TESTS}


# ------------------------------------------------------------------------------ whose word counts


@pytest.mark.parametrize(
    ("arguments", "believed"),
    [
        (["start"], ""),
        (["start", "--behind-proxy"], "127.0.0.1"),
        (["start", "--behind-proxy", "--name", NAME], "127.0.0.1"),
        (["start", "--behind-proxy", "10.0.0.7"], "10.0.0.7"),
        (["start", "--behind-proxy=::1"], "::1"),
        (["start", "--behind-proxy", "*"], "*"),
    ],
)
def test_the_proxy_is_known_by_its_address(monkeypatch, arguments, believed):
    monkeypatch.setenv(proxy.VARIABLE, "")
    proxy.choose(arguments)
    assert proxy.trusted() == believed


@pytest.mark.parametrize("named", ["proxy.local", "10.0.0.0/8", "everybody"])
def test_a_proxy_is_no_name_that_could_lead_elsewhere_tomorrow(monkeypatch, named):
    monkeypatch.setenv(proxy.VARIABLE, "")
    with pytest.raises(SystemExit, match=f"--behind-proxy {named}: not the address of a proxy"):
        proxy.choose(["start", "--behind-proxy", named])


# ------------------------------------------------------------------------------ a program behind it


class Served:
    """A program of its own, asked as a proxy at 127.0.0.1 asks, or by somebody else (127.0.0.2)."""

    def __init__(self, home: Path, *arguments: str) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        listen = f"127.0.0.1:{self.port}"
        command = ["start", "--home", str(home), "--listen", listen, *arguments]
        self.process = subprocess.Popen(
            [sys.executable, str(ROOT / "manage.py"), *command],
            env=bare(),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        said = []
        for line in self.process.stdout:
            said.append(line)
            if line.startswith("Ctrl-C"):
                break
        self.said = "".join(said)

    def ask(self, path, *, proto=None, peer="127.0.0.1", cookies="", form=None):
        connection = http.client.HTTPConnection(
            "127.0.0.1", self.port, timeout=60, source_address=(peer, 0)
        )
        headers = {"Host": NAME, "Cookie": cookies}
        if proto:
            headers |= {"X-Forwarded-Proto": proto, "X-Forwarded-For": "192.168.1.33"}
        if form is not None:
            headers |= {
                "Content-Type": "application/x-www-form-urlencoded",
                "Origin": f"https://{NAME}",
                "Referer": f"https://{NAME}{path}",
            }
        for _ in range(40):
            try:
                connection.request("POST" if form else "GET", path, urlencode(form or {}), headers)
                break
            except ConnectionRefusedError:
                time.sleep(0.25)
        answer = connection.getresponse()
        answer.text = answer.read().decode()
        connection.close()
        return answer

    def stop(self) -> None:
        self.process.terminate()
        self.process.communicate(timeout=60)


@pytest.fixture(scope="module")
def behind(tmp_path_factory):
    served = Served(tmp_path_factory.mktemp("behind"), "--behind-proxy", "--name", NAME)
    yield served
    served.stop()


def cookies_of(answer) -> str:
    set_cookies = [value for name, value in answer.getheaders() if name == "Set-Cookie"]
    assert set_cookies
    assert all("; Secure" in one for one in set_cookies), set_cookies
    return "; ".join(one.partition(";")[0] for one in set_cookies)


alone = pytest.mark.one_database("a process with a database of its own")


@alone
def test_the_first_link_leads_through_the_proxy(behind):
    assert re.search(rf"https://{NAME}/link/[\w-]+/", behind.said), behind.said


@alone
def test_over_https_cookies_are_for_https_and_browsers_are_told_to_keep_to_it(behind):
    page = behind.ask("/sign-in/", proto="https")
    assert page.status == 200
    assert page.getheader("Strict-Transport-Security") == "max-age=2592000"
    cookies_of(page)


@alone
def test_a_person_sets_up_and_finds_addresses_with_https(behind):
    link = re.search(rf"https://{NAME}(/link/[\w-]+/)", behind.said).group(1)
    page = behind.ask(link, proto="https")
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page.text).group(1)
    form = {
        "csrfmiddlewaretoken": token,
        "program_name": "Quay Rays",
        "time_zone": "UTC",
        "username": "jo",
        "called": "Jo",
        "password": "a-long-pass-phrase-7",
        "password_again": "a-long-pass-phrase-7",
    }
    done = behind.ask(link, proto="https", cookies=cookies_of(page), form=form)
    assert done.status == 302, done.text
    cookies = cookies_of(done)
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page.text).group(1)
    reminders = behind.ask("/reminders/", proto="https", cookies=cookies)
    assert reminders.status == 200
    again = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', reminders.text).group(1)
    once = re.search(r'name="once" value="([^"]+)"', reminders.text).group(1)
    made = behind.ask(
        "/reminders/calendar/",
        proto="https",
        cookies=cookies,
        form={"csrfmiddlewaretoken": again, "once": once, "make": "1"},
    )
    assert made.status == 302, made.text
    assert (
        f"https://{NAME}/calendar/"
        in behind.ask("/reminders/", proto="https", cookies=cookies).text
    )


@alone
def test_plain_http_is_led_to_https(behind):
    page = behind.ask("/sign-in/", proto="http")
    assert page.status == 301
    assert page.getheader("Location") == f"https://{NAME}/sign-in/"


@alone
def test_nobody_else_is_believed(behind):
    """Somebody who reaches the port past the proxy, and says what only the proxy may say."""
    page = behind.ask("/sign-in/", proto="https", peer="127.0.0.2")
    assert page.status == 301
    assert page.getheader("Strict-Transport-Security") is None


@alone
def test_whoever_watches_is_answered_without_https(behind):
    assert behind.ask("/healthz").status == 200


@alone
def test_without_the_option_nobody_is_believed(tmp_path):
    served = Served(tmp_path / "home", "--name", NAME)
    try:
        page = served.ask("/sign-in/", proto="https")
        assert page.status == 200
        assert page.getheader("Strict-Transport-Security") is None
        assert "; Secure" not in (page.getheader("Set-Cookie") or "")
    finally:
        served.stop()


@alone
def test_a_proxy_needs_the_name_that_is_typed(tmp_path):
    said = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "start", "--behind-proxy", "--home",
         str(tmp_path / "home")],
        env=bare(), capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert said.returncode == 1
    assert "--behind-proxy needs the name that is typed in a browser" in said.stderr


# ----------------------------------------------------------------------- the set-up as written


@alone
def test_the_set_up_leaves_nothing_for_the_check_of_deployments(tmp_path):
    said = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "check", "--deploy", "--fail-level", "INFO"],
        env={**bare(), "RAYWARD_HOME": str(tmp_path), proxy.VARIABLE: "1", "RAYWARD_NAMES": NAME},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert said.returncode == 0, said.stderr
    assert "no issues" in said.stdout + said.stderr


def program(name: str) -> str:
    found = shutil.which(name, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/bin")
    if not found:
        pytest.skip(f"{name} is not installed here; the file is as it was when it last was")
    return found


def held(*command: str) -> str:
    said = subprocess.run(command, capture_output=True, text=True, check=False)
    assert said.returncode == 0, said.stdout + said.stderr
    return said.stdout + said.stderr


def test_systemd_takes_the_unit(tmp_path):
    verify = program("systemd-analyze")
    unit = tmp_path / "rayward.service"
    text = (DEPLOY / unit.name).read_text(encoding="utf-8")
    code = re.search(r"ExecStart=(\S+)", text).group(1)
    assert code == "/opt/rayward/.venv/bin/rayward"
    unit.write_text(
        text.replace(code, sys.executable).replace("file:///opt/rayward", "file:///tmp"),
        encoding="utf-8",
    )
    assert "rayward.service" not in held(verify, "verify", "--man=no", str(unit))


@pytest.fixture
def certificates(tmp_path):
    """Made with the commands of the documentation, as they stand there."""
    program("openssl")
    text = (DEPLOY / "SET_UP.md").read_text(encoding="utf-8")
    block = text.partition("cd /etc/rayward/tls\n")[2].partition("```")[0]
    assert block.count("openssl req") == 2
    subprocess.run(
        ["bash", "-euc", block.replace("sudo ", "")], cwd=tmp_path, check=True, capture_output=True
    )
    return tmp_path


def test_the_certificate_of_the_house_is_good_for_its_name(certificates):
    held(
        "openssl", "verify", "-CAfile", str(certificates / "authority.crt"),
        "-verify_hostname", NAME, "-purpose", "sslserver", str(certificates / "rays.crt"),
    )  # fmt: skip


def test_nginx_takes_its_file(certificates):
    nginx = program("nginx")
    site = (DEPLOY / "nginx.conf").read_text(encoding="utf-8")
    site = site.replace("/etc/rayward/tls", str(certificates))
    (certificates / "whole.conf").write_text(
        f"pid {certificates}/pid;\nerror_log stderr;\nevents {{}}\nhttp {{\n{site}\n}}\n"
    )
    held(nginx, "-t", "-p", str(certificates), "-c", str(certificates / "whole.conf"))


def test_caddy_takes_its_file(tmp_path):
    caddy = program("caddy")
    held(
        "env", f"HOME={tmp_path}", caddy, "adapt", "--adapter", "caddyfile",
        "--config", str(DEPLOY / "Caddyfile"),
    )  # fmt: skip


def test_the_set_up_names_files_that_are_there():
    text = (DEPLOY / "SET_UP.md").read_text(encoding="utf-8")
    for name in re.findall(r"\]\((\w[\w.]*)\)", text):
        assert (DEPLOY / name).is_file(), name
    for name in re.findall(r"deploy/([\w.]+)", text):
        assert (DEPLOY / name).is_file(), name
    start = re.search(r"ExecStart=\S+ (.*)", (DEPLOY / "rayward.service").read_text()).group(1)
    assert start == f"start --behind-proxy --name {NAME}"
