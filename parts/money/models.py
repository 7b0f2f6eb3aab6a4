"""Costs. Funds have their place here."""

from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse

from parts.record.models import Basis, Component, Engine, Heading, Job, Part, column
from parts.record.models.base import FromPhone, KeptManager, Record, holds, new_folder


class CostManager(KeptManager):
    def billed(self, engine):
        """Costs of an engine that are paid or ordered: what they bought can be handed on."""
        bills = CostAmount.objects.filter(
            item=OuterRef("pk"), basis__in=[Basis.PAID, Basis.ORDERED]
        )
        return self.filter(Exists(bills), engine=engine, pour__isnull=True)


class CostItem(Record):
    """One cost. Its amounts are dated rows on a rising basis (`CostAmount`)."""

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="cost_items"))
    heading = column.money(models.CharField(max_length=10, choices=Heading))
    what = column.open(models.CharField(max_length=160))
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="cost_items")
    )
    job = column.open(
        models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="cost_items")
    )
    component = column.open(
        models.ForeignKey(
            Component, models.PROTECT, null=True, blank=True, related_name="cost_items"
        )
    )
    # The pour that booked it to its castings; only the pour changes it.
    pour = column.open(
        models.ForeignKey(
            "Pour", models.PROTECT, null=True, blank=True, related_name="cost_items", editable=False
        )
    )
    supplier = column.money(models.CharField(max_length=120, blank=True))
    note = column.place(models.TextField(blank=True))

    objects = CostManager()

    class Meta(Record.Meta):
        ordering = ["heading", "pk"]
        indexes = [models.Index(fields=["engine", "heading"], name="cost_by_heading")]

    def __str__(self):
        return self.what

    def get_absolute_url(self):
        return reverse("parts:cost", args=[self.engine_id, self.pk])

    def reason_to_keep(self) -> str:
        """What a pour booked comes and goes with the pour alone, or its sum would not hold."""
        if self.pour_id is None:
            return ""
        return f"{self.pour} booked this cost. Change the costs of that pour, or undo it."

    reason_to_stay_deleted = reason_to_keep


class CostAmount(Record):
    """An amount of a cost item on a day.

    An estimate has low, likely and high; a quote or an order has one figure, held in all three.
    Payments add up. The newest row of the highest basis but paid says what the whole will come
    to; what is not yet paid of it is still to come. `settles` says nothing more will be paid.

    A payment may be handed on from another cost, in which the money was paid already: the fuel or
    the metal of a pour. That cost is `out_of`, or the one that the metal's `lot` was bought under.
    It counts here and no longer there.
    """

    deletable = leads_only = True

    item = column.money(models.ForeignKey(CostItem, models.PROTECT, related_name="amounts"))
    day = column.money(models.DateField())
    basis = column.money(models.CharField(max_length=10, choices=Basis))
    low = column.money(models.DecimalField(max_digits=12, decimal_places=2))
    likely = column.money(models.DecimalField(max_digits=12, decimal_places=2))
    high = column.money(models.DecimalField(max_digits=12, decimal_places=2))
    settles = column.money(models.BooleanField("nothing more to pay", default=False))
    note = column.place(models.CharField(max_length=500, blank=True))
    out_of = column.money(
        models.ForeignKey(
            CostItem,
            models.PROTECT,
            null=True,
            blank=True,
            related_name="handed_on",
            editable=False,
        )
    )
    lot = column.place(
        models.ForeignKey(
            "MetalLot", models.PROTECT, null=True, blank=True, related_name="costs", editable=False
        )
    )

    class Meta(Record.Meta):
        ordering = ["day", "pk"]
        constraints = [
            holds(
                Q(low__gte=0, likely__gte=F("low"), high__gte=F("likely")),
                name="cost_low_likely_high",
                says="Low, likely and high must rise, from nothing upwards: 80, 100, 140.",
            ),
            holds(
                Q(basis="estimated") | Q(low=F("likely"), high=F("likely")),
                name="cost_range_only_estimated",
                says="Only an estimate has a range; a quote, an order or a payment is one figure.",
            ),
            holds(
                Q(basis="paid") | Q(settles=False),
                name="cost_settled_by_paying",
                says="Only a payment can say that nothing more is to pay.",
            ),
            holds(
                Q(basis="paid") | Q(out_of__isnull=True, lot__isnull=True),
                name="cost_handed_on_paid",
                says="Only what is paid can be handed on from another cost.",
            ),
        ]

    def __str__(self):
        return f"{self.get_basis_display()}, {self.likely}"

    @property
    def engine_id(self) -> int:
        return self.item.engine_id

    @property
    def part_id(self) -> int | None:
        return self.item.part_id

    def reason_to_keep(self) -> str:
        return self.item.reason_to_keep()

    reason_to_stay_deleted = reason_to_keep


def paper_path(paper, filename) -> str:
    return f"{new_folder('papers', paper.item.engine_id, paper.uid)}/paper.{paper.suffix}"


class CostPaper(FromPhone, Record):
    """A quote, order or receipt: a PDF or a picture, kept as it came."""

    deletable = leads_only = True

    class Kind(models.TextChoices):
        QUOTE = "quote", "Quote"
        ORDER = "order", "Order"
        RECEIPT = "receipt", "Receipt"

    item = column.money(models.ForeignKey(CostItem, models.PROTECT, related_name="papers"))
    kind = column.money(models.CharField(max_length=8, choices=Kind))
    name = column.money(models.CharField(max_length=160))
    file = models.FileField(upload_to=paper_path, editable=False)
    suffix = models.CharField(max_length=4, editable=False)
    sha256 = models.CharField(max_length=64, editable=False)
    day = column.money(models.DateField())

    class Meta(Record.Meta):
        ordering = ["-day", "-pk"]

    def __str__(self):
        return f"{self.get_kind_display()}: {self.name}"

    @property
    def engine_id(self) -> int:
        return self.item.engine_id

    @property
    def part_id(self) -> int | None:
        return self.item.part_id
