"""What the pieces of the sawmill engine's elevation are, and a sheet of its own with balloons."""

from parts.drawings import actions as drawings_actions
from parts.drawings.models import Balloon, Drawing
from parts.photos.models import Photo
from parts.record.actions import saving
from parts.record.models import Engine, Part

# What their names would not tell: piece of the elevation, item number; None is not on this engine.
PIECES = {
    "governor_stand": 701,
    "governor_crank": 713,
    "valve_cover": 601,
    "valve_gland": 607,
    "lubricator": 218,
}
SHEET = "Connecting rod"
PICTURE = "After citric and wire."
# Item number: parts of a hundred across and down.
BALLOONS = {
    1101: (44.0, 41.5),
    1102: (71.0, 40.0),
    1103: (77.5, 28.5),
    1104: (75.0, 46.5),
    1105: (71.0, 23.5),
    1106: (15.5, 55.0),
    1107: (12.5, 48.5),
}


def load(engine: Engine, people: dict, last_day) -> None:
    """Tie the pieces, and set the balloons of a sheet if its photograph is here."""
    by = people["M. Ellery"]
    parts = {part.item: part for part in Part.objects.filter(engine=engine)}
    for piece, item in PIECES.items():
        if item in parts:
            drawings_actions.tie_piece(engine, piece, part=parts[item], by=by)
    photo = Photo.objects.filter(engine=engine, caption=PICTURE).first()
    if photo is None:
        return
    sheet = saving.add(
        Drawing(engine=engine, name=SHEET, picture=photo, note="On the bench, after cleaning"),
        by=by,
    )
    for item, (across, down) in BALLOONS.items():
        if item in parts:
            row = Balloon(
                engine=engine, drawing=sheet, part=parts[item], x=across / 100, y=down / 100
            )
            drawings_actions.add_balloon(row, by=by)
