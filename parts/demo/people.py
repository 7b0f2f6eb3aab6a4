"""The people of the story who have a login, and the one password they share."""

import secrets

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group

from parts.people.actions import DEMO_GROUP

from . import story

User = get_user_model()
_WORDS = """
anvil ballast beading bellows bobbin bracket brazing bushing calliper camber capstan chisel
collar copper cotter crucible dowel ferrule fettle flange gasket gimlet girder gudgeon gusset
hammer hopper journal keyway kiln ladle lagging lantern lathe lever mallet mandrel mortar oakum
packing pallet piston pulley quarry ratchet rivet saddle scriber shackle sheave spanner spindle
spoke tallow tenon trammel trestle trowel washer whistle windlass
"""
WORDS = tuple(_WORDS.split())


def _file():
    return settings.DATA_DIR / "demo_password"


def users():
    """The logins of the demonstration."""
    return User.objects.filter(groups__name=DEMO_GROUP)


def password() -> str:
    """The password of the demonstration: made by chance once, kept with the data.

    Made anew, and set for the people of the demonstration, when it is not known any more: the
    data may come from a backup, which does not hold it.
    """
    path = _file()
    if path.exists():
        return path.read_text(encoding="utf-8").strip()
    new = "-".join([*(secrets.choice(WORDS) for _ in range(3)), str(secrets.randbelow(900) + 100)])
    path.parent.mkdir(parents=True, exist_ok=True)
    path.touch(mode=0o600)
    path.write_text(new, encoding="utf-8")
    for person in users():
        person.set_password(new)
        person.save(update_fields=["password"])
    return new


def forget_password() -> None:
    _file().unlink(missing_ok=True)


def enter() -> dict[str, object]:
    """Make the logins of the story; return them by the name people sign with.

    Nobody who is here already is touched: a person of the story whose login is taken gets another.
    """
    group, _ = Group.objects.get_or_create(name=DEMO_GROUP)
    secret, known = password(), {}
    rows = {r["written_as"]: r for engine in story.ENGINES for r in story.read(engine, "people")}
    for signs, row in rows.items():
        username = row["username"]
        if not username:
            continue
        while User.objects.filter(username__iexact=username).exists():
            username = f"demo-{username}"
        first, _, last = row["name"].partition(" ")
        person = User(username=username, first_name=first, last_name=last)
        person.set_password(secret)
        person.save()
        person.groups.add(group)
        known[signs] = person
    return known
