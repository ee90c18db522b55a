"""What the default install brings: `python -m benchmarks.installed [--wheels]`.

Prints the megabytes of each package on the disk (du's blocks, with what Python compiled of it),
largest first. --wheels: asks the package index whether a wheel of each package with compiled code
is there for every machine this runs on, and ends with 1 where one is missing; nothing is loaded
but what describes the wheels.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib.metadata import Distribution, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

OURS = "rayward"
LEAST_SHOWN_MB = 1


@dataclass(frozen=True)
class Machine:
    """One kind of computer: what pip calls its wheels, any of which will do, and Python itself."""

    tags: tuple[str, ...]
    sys_platform: str
    platform_machine: str


MACHINES = {
    "Linux x86-64": Machine(
        ("manylinux_2_28_x86_64", "manylinux_2_17_x86_64", "manylinux2014_x86_64"),
        *("linux", "x86_64"),
    ),
    "Linux aarch64": Machine(
        ("manylinux_2_28_aarch64", "manylinux_2_17_aarch64", "manylinux2014_aarch64"),
        *("linux", "aarch64"),
    ),
    "macOS arm64": Machine(("macosx_14_0_arm64",), "darwin", "arm64"),
    "macOS x86-64": Machine(("macosx_14_0_x86_64",), "darwin", "x86_64"),
    "Windows x86-64": Machine(("win_amd64",), "win32", "AMD64"),
}


@dataclass
class Brought:
    """A package that comes with the install, and what is asked of its release."""

    package: Distribution
    asked: list[tuple[Requirement, frozenset[str]]] = field(default_factory=list)

    def release_for(self, machine: Machine) -> SpecifierSet:
        """What its release has to be on such a machine."""
        of = {"sys_platform": machine.sys_platform, "platform_machine": machine.platform_machine}
        found = SpecifierSet()
        for needs, extras in self.asked:
            if _is_meant(needs, extras, of):
                found &= needs.specifier
        return found


def brought(name: str = OURS) -> dict[str, Brought]:
    """The package and all that it asks for, by its name, of those that are installed here."""
    found = {name: Brought(distribution(name))}
    ahead = [(name, frozenset[str]())]
    done = set()
    while ahead:
        at = ahead.pop()
        if at in done:
            continue
        done.add(at)
        for text in found[at[0]].package.requires or ():
            needs = Requirement(text)
            of = canonicalize_name(needs.name)
            if of not in found:
                if not _is_meant(needs, at[1], {}):
                    continue
                found[of] = Brought(distribution(of))
            found[of].asked.append((needs, at[1]))
            if _is_meant(needs, at[1], {}):
                ahead.append((of, frozenset(needs.extras)))
    return found


def _is_meant(needs: Requirement, extras: frozenset[str], of: dict[str, str]) -> bool:
    marker = needs.marker
    return marker is None or any(marker.evaluate({**of, "extra": one}) for one in ("", *extras))


def megabytes(one: Distribution) -> float:
    """On the disk, in blocks as du counts them, with what Python compiled of its files."""
    places = {Path(str(one.locate_file(file))) for file in one.files or ()}
    return sum(place.stat().st_blocks * 512 for place in places if place.is_file()) / 1024**2


def is_compiled(one: Distribution) -> bool:
    """Whether its wheel is made for one kind of machine."""
    tags = [line for line in (one.read_text("WHEEL") or "").splitlines() if line.startswith("Tag:")]
    return not all(tag.endswith("-any") for tag in tags)


def wheel(name: str, release: SpecifierSet, machine: Machine) -> str | None:
    """The release of which pip would take a wheel on such a machine with this Python, if any."""
    with tempfile.TemporaryDirectory() as folder:
        command = [
            *(sys.executable, "-m", "pip", "install", "--quiet", "--dry-run", "--no-deps"),
            *("--ignore-installed", "--only-binary=:all:", "--target", folder, "--report", "-"),
            *(part for tag in machine.tags for part in ("--platform", tag)),
            f"{name}{release}",
        ]
        done = subprocess.run(command, capture_output=True, check=False)  # noqa: S603 - built above
    if done.returncode:
        return None
    return str(json.loads(done.stdout)["install"][0]["metadata"]["version"])


def sizes(found: dict[str, Brought]) -> Iterator[str]:
    of = sorted(((megabytes(one.package), name) for name, one in found.items()), reverse=True)
    for size, name in of:
        if size >= LEAST_SHOWN_MB:
            yield f"{name:<20} {found[name].package.version:<12} {size:6.0f} MB"
    yield f"{'all of ' + str(len(of)):<33} {sum(size for size, _ in of):6.0f} MB"


def wheels(found: dict[str, Brought]) -> Iterator[tuple[str, bool]]:
    """Lines of a table, and whether nothing is missing in it."""
    yield f"{'':<20} " + "  ".join(name.ljust(14) for name in MACHINES), True
    for name, one in sorted(found.items()):
        if name == OURS or not is_compiled(one.package):
            continue
        there = [wheel(name, one.release_for(of), of) for of in MACHINES.values()]
        said = "  ".join((release or "NONE").ljust(14) for release in there)
        yield f"{name:<20} {said}", None not in there


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--wheels", action="store_true")
    asked = arguments.parse_args()
    os.environ.setdefault("PIP_DISABLE_PIP_VERSION_CHECK", "1")
    found = brought()
    print("\n".join(sizes(found)), flush=True)
    if asked.wheels:
        whole = True
        for line, is_there in wheels(found):
            print(line, flush=True)
            whole &= is_there
        sys.exit(0 if whole else 1)


if __name__ == "__main__":
    main()
