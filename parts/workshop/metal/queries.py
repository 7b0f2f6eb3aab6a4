"""The metal store: each lot with what it is, what is left of it and what it is worth."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import F, Q, Sum, Window

from parts.engineering.calculation import Origin
from parts.engineering.casting import irons
from parts.engineering.casting import lots as casting_lots
from parts.engineering.errors import EngineeringError, UnknownName
from parts.engineering.measures import write_again
from parts.money.queries.costs import exact
from parts.record.models import Engine, Find, Material

from .models import MetalLot, MetalMove

KNOWN = MetalLot.Known


@dataclass(frozen=True)
class Share:
    """An element of a lot, per cent by mass, with its range where it is a guess."""

    element: str
    word: str
    percent: float
    low: float
    high: float

    @property
    def guessed(self) -> bool:
        return self.high - self.low > 1e-9


@dataclass(frozen=True)
class LotLine:
    """A lot of the store.

    Args:
        kind: What the metal is, in words.
        metal: The lot as the calculations take it, `on_hand_kg` being what is free; None when
            its composition is unknown.
        why_not: Why `metal` is None, in a sentence.
        shares: Its composition, the largest share first.
        in_kg, out_kg: All that came in, all that went out (more than 0). [kg]
        on_hand_kg: In less out. [kg]
        aside_kg: Of that, set aside for pours that have not happened. [kg]
    """

    pk: int
    name: str
    material: str
    scrap_key: str
    kind: str
    known: str
    known_word: str
    metal: casting_lots.Lot | None
    why_not: str
    shares: tuple[Share, ...]
    in_kg: float
    out_kg: float
    on_hand_kg: float
    aside_kg: float
    value_per_kg: Decimal
    worth: Decimal
    where_from: str
    find_id: int | None
    find_name: str
    kept_at: str

    @property
    def free_kg(self) -> float:
        return max(0.0, self.on_hand_kg - self.aside_kg)

    @property
    def empty(self) -> bool:
        return self.on_hand_kg <= 1e-6

    @property
    def good_for(self) -> str:
        """The use of iron scrap of its kind, in a sentence; "" for anything else."""
        kind = irons.scraps().get(self.scrap_key)
        return kind.words if kind else ""

    @property
    def evidence(self) -> str:
        """The source of its composition, in words."""
        source = self.metal.source if self.metal else self.why_not
        words = [w for w in (self.known_word, source) if w]
        return ". ".join(dict.fromkeys(w[0].upper() + w[1:] for w in words))


@dataclass(frozen=True)
class Store:
    """The metal store of an engine. The sums cover every lot, also those not shown."""

    lots: tuple[LotLine, ...]
    currency: str

    @property
    def on_hand_kg(self) -> float:
        return sum(lot.on_hand_kg for lot in self.lots)

    @property
    def aside_kg(self) -> float:
        return sum(lot.aside_kg for lot in self.lots)

    @property
    def worth(self) -> Decimal:
        return sum((lot.worth for lot in self.lots), Decimal(0))

    @property
    def by_material(self) -> list[tuple[str, float]]:
        """Each material with the mass on hand. [kg] Tin, zinc and the like come last."""
        sums: dict[str, float] = {}
        for lot in self.lots:
            sums[lot.material] = sums.get(lot.material, 0.0) + lot.on_hand_kg
        return [(key, sums[key]) for key in Material.values if sums.get(key, 0.0) > 1e-6]

    def lot(self, pk: int) -> LotLine | None:
        return next((lot for lot in self.lots if lot.pk == pk), None)

    def lots_of(self, material: str = "", used_up: bool = False) -> list[LotLine]:
        """Return lots of a material ("" is all), those used up only if `used_up`."""
        return [
            lot
            for lot in self.lots
            if material in ("", lot.material) and (used_up or not lot.empty)
        ]


def metal_store(engine: Engine) -> Store:
    """Return every lot with what is left of it, added up by the database. Two queries."""
    real, not_removed = Q(moves__planned=False), Q(moves__removed_at__isnull=True)
    rows = (
        MetalLot.objects.filter(engine=engine)
        .select_related("find")
        .annotate(
            came=Sum("moves__kg", filter=not_removed & real & Q(moves__kg__gt=0), default=0.0),
            went=Sum("moves__kg", filter=not_removed & real & Q(moves__kg__lt=0), default=0.0),
            aside=Sum("moves__kg", filter=not_removed & ~real, default=0.0),
        )
        .order_by("material", "name", "pk")
    )
    rows = list(rows)
    contents = _Contents(engine, {row.pk: row for row in rows})
    return Store(tuple(_line(row, contents) for row in rows), engine.currency)


def _line(row: MetalLot, contents: "_Contents") -> LotLine:
    on_hand = row.came + row.went
    metal, why_not = None, ""
    try:
        metal = contents.lot(row, max(0.0, on_hand + row.aside))
    except EngineeringError as error:
        why_not = str(error)
    return LotLine(
        row.pk,
        row.name,
        row.material,
        row.scrap_key,
        _kind(row, metal),
        row.known,
        _known_word(row, metal),
        metal,
        why_not,
        shares_of(metal) if metal else (),
        row.came,
        abs(row.went),
        on_hand,
        abs(row.aside),
        row.value_per_kg,
        exact(Decimal(str(max(0.0, on_hand))) * row.value_per_kg),
        row.where_from,
        row.find_id,
        row.find.name if row.find else "",
        row.kept_at,
    )


def _known_word(row: MetalLot, metal: casting_lots.Lot | None) -> str:
    if metal is None:
        return ""
    return "Calculated" if metal.origin is Origin.CALCULATED else row.get_known_display()


def _kind(row: MetalLot, metal: casting_lots.Lot | None) -> str:
    if row.scrap_key:
        return casting_lots.scrap_keys().get(row.scrap_key, row.scrap_key).capitalize()
    if row.material != Material.NOT_KNOWN:
        return row.get_material_display()
    first = shares_of(metal)[:1] if metal else ()
    return first[0].word.capitalize() if first else "Not known"


def shares_of(metal: casting_lots.Lot) -> tuple[Share, ...]:
    """Return the composition of a lot, the largest share first."""
    return tuple(
        Share(
            element,
            casting_lots.element_word(element),
            percent,
            metal.low.get(element, percent),
            metal.high.get(element, percent),
        )
        for element, percent in sorted(metal.percent.items(), key=lambda one: -one[1])
    )


class _Contents:
    """The composition of each lot; that of a returns lot is calculated from its pour's charge.

    The charges of all pours are read in one query.
    """

    def __init__(self, engine: Engine, rows: Mapping[int, MetalLot]):
        self.rows = rows
        self.poured: dict[int, list[tuple[int, float]]] = {}
        self.came_of: dict[int, tuple[int, int]] = {}
        moves = MetalMove.objects.filter(engine=engine, pour__isnull=False, planned=False)
        for lot, kg, pour, number in moves.values_list("lot_id", "kg", "pour_id", "pour__number"):
            if kg < 0:
                self.poured.setdefault(pour, []).append((lot, -kg))
            else:
                self.came_of[lot] = (pour, number)

    def lot(self, row: MetalLot, on_hand_kg: float | None, path: tuple[int, ...] = ()):
        """Return the lot as the calculations take it, not following the lots in `path` again.

        Raises EngineeringError when its composition is unknown.
        """
        price = float(row.value_per_kg)
        if row.percent:
            origin = {KNOWN.ASSAYED: Origin.MEASURED, KNOWN.KNOWN: Origin.ENTERED}
            return casting_lots.Lot(
                row.name,
                {element: float(share) for element, share in row.percent.items()},
                on_hand_kg,
                price,
                origin=origin.get(row.known, Origin.ASSUMED),
                source=row.get_known_display(),
            )
        if row.scrap_key:
            return casting_lots.scrap(row.scrap_key, on_hand_kg, price, row.name)
        pour, number = self.came_of.get(row.pk, (None, 0))
        charge = [
            (self.lot(self.rows[pk], None, (*path, row.pk)), kg)
            for pk, kg in self.poured.get(pour, ())
            if pk in self.rows and pk not in (*path, row.pk)
        ]
        if not charge:
            raise UnknownName(
                f"Nobody has said what is in {row.name}: have it assayed, or say what scrap it is."
            )
        return _melted(row.name, charge, on_hand_kg, price, number)


def _melted(name, charge, on_hand_kg, price, number) -> casting_lots.Lot:
    """Return the lot that a charge became; its range blends the ends of the lots' ranges."""
    percent = casting_lots.melt_composition(charge)
    total = sum(kg for _, kg in charge)
    low, high = {}, {}
    for element, share in percent.items():
        likely, least, most = (
            sum(kg * _end(lot, side, element) for lot, kg in charge) / total
            for side in ("percent", "low", "high")
        )
        if most - least > 1e-9:
            # Melting takes as much of an element at the ends of its range as in the middle.
            recovered = share / likely if likely else 1.0
            low[element], high[element] = least * recovered, most * recovered
    source = f"from the charge of pour {number}: an assay is better"
    return casting_lots.Lot(name, percent, on_hand_kg, price, low, high, Origin.CALCULATED, source)


def _end(lot: casting_lots.Lot, side: str, element: str) -> float:
    return getattr(lot, side).get(element, lot.percent.get(element, 0.0))


@dataclass(frozen=True)
class MoveLine:
    """A move of a lot, with what was left of the lot after it. [kg]"""

    move: MetalMove
    left_kg: float

    @property
    def kg(self) -> float:
        return abs(self.move.kg)


def moves_of(lot: MetalLot | int) -> list[MoveLine]:
    """Return the moves of a lot, newest first, each with what was left after it. One query."""
    rows = (
        MetalMove.objects.filter(lot=lot, planned=False)
        .select_related("pour")
        .annotate(left=Window(Sum("kg"), order_by=[F("day").asc(), F("pk").asc()]))
        .order_by("-day", "-pk")
    )
    return [MoveLine(row, row.left) for row in rows]


def set_aside_of(lot: MetalLot | int) -> list[MoveLine]:
    """Return what is set aside of a lot for pours that have not happened. One query."""
    moves = MetalMove.objects.filter(lot=lot, planned=True).select_related("pour")
    return [MoveLine(move, 0.0) for move in moves]


def lots_of_find(find: Find) -> list[MetalLot]:
    """Return the lots that a find became. One query."""
    return list(MetalLot.objects.filter(find=find))


def initial_from_find(find: Find) -> dict:
    """Return the initial data of the form of a lot that a find becomes."""
    mass, engine = "", find.engine
    if find.quantity == 1 and find.mass_written:
        mass = find.mass_written
    elif find.mass_kg:
        mass = write_again(
            "mass", find.mass_kg * find.quantity, find.mass_unit or engine.mass_unit, engine.ton
        )
    return {
        "name": find.looks_like or find.name,
        "material": find.material,
        "where_from": f"Find {find.name}",
        "kept_at": find.kept_at,
        "mass_written": mass,
    }
