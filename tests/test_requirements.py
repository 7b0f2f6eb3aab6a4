"""The locked versions agree with what is asked for, on every Python and system we name."""

import re
from importlib import metadata
from pathlib import Path

import pytest
from django.conf import settings
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

HOUSE = Path(settings.BASE_DIR)
ADVICE = "Make the locks anew with: sh .ci/lock (DEVELOPERS.md, Requirements)."
LOCKS = {
    "restoration/requirements.lock": ["requirements.txt"],
    "tests/requirements.lock": ["requirements.txt", "tests/requirements.txt"],
}
SYSTEMS = {"linux": "Linux", "darwin": "Darwin", "win32": "Windows"}
MACHINES = [
    {
        "python_version": python,
        "python_full_version": f"{python}.1",
        "sys_platform": system,
        "platform_system": name,
        "os_name": "nt" if system == "win32" else "posix",
        "implementation_name": "cpython",
        "platform_python_implementation": "CPython",
    }
    for python in ("3.11", "3.12", "3.13")
    for system, name in SYSTEMS.items()
]


def text(name: str) -> str:
    return (HOUSE / name).read_text(encoding="utf-8")


def asked(written: str) -> list[Requirement]:
    """The lines of a requirements.txt that name a package."""
    lines = [line.split("#")[0].strip() for line in written.splitlines()]
    return [Requirement(line) for line in lines if line and not line.startswith("-")]


def pins(lock: str) -> list[tuple[Requirement, list[str]]]:
    """Each package of a lock with its hashes."""
    lines = [line for line in lock.splitlines() if not line.strip().startswith("#")]
    lines = [line for line in lines if not line.startswith("-")]  # told by `faults`
    every = re.sub(r"\\\n", " ", "\n".join(lines)).splitlines()
    return [
        (Requirement(line.split("--hash")[0]), re.findall(r"--hash=sha256:([0-9a-f]{64})", line))
        for line in every
        if line.strip()
    ]


def version(pin: Requirement) -> str:
    (only,) = pin.specifier
    assert only.operator == "==", pin
    return only.version


def on(machine: dict, lock: str) -> dict[str, list[str]]:
    """The versions that a lock has for a machine, by package."""
    found: dict[str, list[str]] = {}
    for pin, _ in pins(lock):
        if pin.marker is None or pin.marker.evaluate(machine):
            found.setdefault(canonicalize_name(pin.name), []).append(version(pin))
    return found


def needed(requirements: list[Requirement]) -> set[str]:
    """The packages that are needed here, and what those need, as the installed ones tell."""
    found, queue = set(), [(r, "") for r in requirements]
    while queue:
        one, extra = queue.pop()
        key = (canonicalize_name(one.name), frozenset(one.extras))
        if key in found or (one.marker and not one.marker.evaluate({"extra": extra})):
            continue
        found.add(key)
        for line in metadata.requires(one.name) or []:
            queue += [(Requirement(line), extra) for extra in (one.extras or {""})]
    return {name for name, _ in found}


def faults(requirements: list[Requirement], lock: str) -> list[str]:
    """What a lock has wrong: nothing when it agrees with the requirements."""
    found = [f"{pin.name} has no hash" for pin, hashes in pins(lock) if not hashes]
    for machine in MACHINES:
        here = on(machine, lock)
        found += [f"{name} twice: {versions}" for name, versions in here.items() if versions[1:]]
        for one in requirements:
            got = here.get(canonicalize_name(one.name), [])
            if not any(one.specifier.contains(v) for v in got):
                where = f"Python {machine['python_version']} on {machine['sys_platform']}"
                found.append(f"{one} is not met by {got or 'anything'} with {where}")
    locked = set(on({}, lock))
    need = needed(requirements)
    found += [f"{name} is needed and not locked" for name in sorted(need - locked)]
    found += [f"{name} is locked and not needed" for name in sorted(locked - need)]
    if strange := re.findall(r"^ *-(?!-hash).*|.*://.*", lock, re.MULTILINE):
        found.append(f"no option and no address belongs in a lock: {strange[0]}")
    return found


@pytest.mark.parametrize("name", LOCKS)
def test_the_lock_agrees_with_the_requirements(name):
    requirements = [one for file in LOCKS[name] for one in asked(text(file))]
    assert len(requirements) >= 12
    assert faults(requirements, text(name)) == [], ADVICE


def test_the_tests_run_with_the_versions_that_people_get():
    ours, tests = (text(name) for name in LOCKS)
    for machine in MACHINES:
        assert on(machine, ours).items() <= on(machine, tests).items(), ADVICE


SPOILT = {
    "a range that the lock is out of": (
        lambda asked, lock: (["Django>=99", *asked], lock),
        "Django>=99 is not met by",
    ),
    "a requirement that is not locked": (
        lambda asked, lock: ([*asked, "ruff"], lock),
        "ruff is needed and not locked",
    ),
    "a requirement that went": (
        lambda asked, lock: ([r for r in asked if "segno" not in r], lock),
        "segno is locked and not needed",
    ),
    "a package that another needs": (
        lambda asked, lock: (asked, re.sub(r"(?m)^asgiref==(?:.*\\\n)*.*\n", "", lock)),
        "asgiref is needed and not locked",
    ),
    "a package without its hash": (
        lambda asked, lock: (asked, re.sub(r"(segno==\S+) \\\n(    --hash.*\n)+", r"\1\n", lock)),
        "segno has no hash",
    ),
    "two versions of one": (
        lambda asked, lock: (asked, lock + "segno==1.0 --hash=sha256:" + "0" * 64 + "\n"),
        "segno twice",
    ),
    "no version for one Python": (
        lambda asked, lock: (asked, lock.replace("version >= '3.12'", "version >= '3.13'")),
        "with Python 3.12 on linux",
    ),
    "an address": (
        lambda asked, lock: (asked, "--index-url https://example.org/\n" + lock),
        "no address belongs",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", SPOILT)
def test_the_check_sees_a_lock_that_does_not_agree(what):
    spoil, says = SPOILT[what]
    requirements, lock = (
        [str(one) for one in asked(text("requirements.txt"))],
        text(next(iter(LOCKS))),
    )
    requirements, spoilt = spoil(requirements, lock)
    found = faults([Requirement(one) for one in requirements], spoilt)
    assert any(says in fault for fault in found), found
