"""The index of sheets and the pages of each: `{% load sheet_index %}{% sheet_index as index %}`.

Every page of an engine stands under one of these pages, by the name of its address. A test holds
that none is forgotten.
"""

from dataclasses import dataclass

from django import template
from django.urls import reverse

from parts.record.access import Right

register = template.Library()


@dataclass(frozen=True)
class Page:
    """A page of the index.

    Args:
        word: Its name: in the index, as its title, and wherever it is linked to.
        name: The name of its address.
        under: The names of the addresses that stand under it.
        right: What a person must be allowed, to see it listed.
    """

    word: str
    name: str
    under: tuple[str, ...] = ()
    right: Right = Right.SEE

    def holds(self, name: str) -> bool:
        return name == self.name or name in self.under


def _page(word: str, name: str, under: str = "", right: Right = Right.SEE) -> Page:
    return Page(word, name, tuple(under.split()), right)


SHEETS: tuple[tuple[str, tuple[Page, ...]], ...] = (
    (
        "Engine",
        (
            _page("Overview", "engine", "engine_edit search"),
            _page(
                "Drawings", "arrangement",
                "arrangement_pdf ties drawing_new drawing drawing_pdf drawing_edit balloon_new "
                "balloon_edit",
            ),
            _page("Figures", "figures", "figures_edit"),
            _page("Owners", "owners", "owner_new owner_edit"),
            _page("History", "history", "row_remove row_bring_back"),
        ),
    ),
    (
        "Parts",
        (
            _page(
                "List", "part_list",
                "part part_new part_edit part_act part_propose part_history bodies body_new "
                "body_edit measurement_new measurement_edit note_new note_edit repair_new "
                "repair_edit freeing_new freeing_edit",
            ),
            _page(
                "Components", "components",
                "component component_new component_edit component_still",
            ),
            _page("To decide", "undecided", "undecided_csv decide option"),
            _page("Proposals", "proposals", "proposal_answer"),
        ),
    ),
    (
        "Parts to make",
        (
            _page(
                "List", "jobs",
                "jobs_csv job job_edit job_reach job_fit job_back job_off job_more job_withdraw "
                "pattern pattern_pdf face_new face_edit bearing bearing_pdf bearing_edit",
            ),
            _page("Jobs by person", "jobs_by_person", "jobs_pdf job_pdf"),
            _page(
                "Pours", "pours",
                "pour_new pour pour_edit pour_aside pour_done pour_drop pour_costs pour_undo "
                "pour_sheet_pdf",
                Right.SEE_PLACES,
            ),
            _page(
                "Metal store", "metal",
                "metal_csv lot_new lot lot_csv lot_edit lot_in lot_out move_remove crucible_new "
                "crucible_edit",
                Right.SEE_PLACES,
            ),
            _page(
                "Fasteners", "fasteners",
                "fasteners_csv fasteners_order fastener fastener_edit fastener_choose quote_new "
                "quote_edit",
            ),
            _page("Bars", "bars", "bar_new stock_new bar_edit bar_book", Right.SEE_PLACES),
            _page(
                "Cutting lists", "bar_plan",
                "bar_plan_freeze cut_plan cut_plan_pdf cut_plan_cut cut_plan_back blank",
                Right.SEE_PLACES,
            ),
        ),
    ),
    (
        "Site",
        (
            _page("Finds", "site", "find_new find find_edit identify take_back"),
            _page("Diary", "diary", "diary_new diary_edit", Right.SEE_PLACES),
            _page(
                "Lifts", "lifts",
                "lift_new lift lift_pdf lift_edit lift_done lift_put lift_take",
            ),
            _page("Lifting gear", "gear", "gear_new gear_edit"),
            _page("Lorry loads", "lorry", "haul"),
            _page(
                "Photographs", "photos",
                "photo_new photo photo_edit photo_file photo_original pair_new",
            ),
        ),
    ),
    (
        "Money",
        (
            _page(
                "Costs", "costs",
                "costs_csv tally_csv cost_new cost cost_edit amount_new amount_edit paper_new "
                "paper",
            ),
        ),
    ),
    (
        "Reports",
        (
            _page(
                "Progress and reports", "report_list",
                "report_new report report_pdf report_photo link_new link_withdraw",
            ),
            _page("Plans", "plans", "plan_new"),
            _page("Volunteer hours", "hours", "hours_new hours_edit"),
            _page(
                "People", "people", "person_new person_role person_password person_remove",
                Right.MANAGE,
            ),
        ),
    ),
)  # fmt: skip


@dataclass(frozen=True)
class Link:
    """A line of the index: its word, its address, and whether it holds the page that is shown."""

    word: str
    url: str
    current: bool


@dataclass(frozen=True)
class SheetLinks(Link):
    """A sheet of the index, with its pages that the person may open."""

    number: int
    pages: tuple[Link, ...]


@register.simple_tag(takes_context=True)
def sheet_index(context) -> list[SheetLinks]:
    """Return the sheets of the engine that is shown, with the pages of each."""
    access, request = context["access"], context["request"]
    shown = request.resolver_match.url_name if request.resolver_match else ""
    sheets = []
    for number, (word, pages) in enumerate(SHEETS, start=1):
        links = tuple(
            Link(
                page.word, reverse(f"parts:{page.name}", args=[access.engine.pk]), page.holds(shown)
            )
            for page in pages
            if access.may(page.right)
        )
        current = any(page.holds(shown) for page in pages)
        sheets.append(SheetLinks(word, links[0].url, current, number, links))
    return sheets
