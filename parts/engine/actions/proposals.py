"""Add proposals of helpers, and answer them."""

from datetime import date

from parts.record.actions import entries, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Part

from ..models import Proposal

Matter, Answer = Proposal.Matter, Proposal.Answer


def propose(proposal: Proposal, *, by) -> Proposal:
    """Add a proposal. Raises Refused when one to make something has no route."""
    if proposal.matter == Matter.MAKE and not proposal.route:
        raise Refused("Say how it could be made: cast it, machine it, buy it in …")
    if proposal.matter != Matter.MAKE:
        proposal.route = ""
    return saving.add(proposal, by=by)


def accept(
    proposal: Proposal, *, day: date, by, seen: int, words: str = "", on_engine: bool = False
) -> Proposal:
    """Accept a proposal, and do what it proposes, in one transaction.

    A correction is only marked as accepted: the lead edits the part by hand.

    Raises:
        Refused: it was answered already, or what it proposes is not possible.
        Clash: someone else changed it meanwhile.
    """
    with writing(proposal.engine_id):
        _refuse_answered(proposal)
        part = Part.objects.get(pk=proposal.part_id)
        why = f"{proposal.words} (proposed by {saving.name_of(proposal.made_by)})"
        if proposal.matter == Matter.BEYOND_REPAIR:
            entries.condemn(part, proposal.pieces, day=day, by=by, reason=why, on_engine=on_engine)
        elif proposal.matter == Matter.MAKE:
            entries.decide(part, proposal.route, proposal.pieces, day=day, by=by, reason=why)
        elif proposal.matter == Matter.LEAVE_OFF:
            entries.leave_off(part, proposal.pieces, day=day, by=by, reason=why)
        return _answer(proposal, Answer.ACCEPTED, words, seen, by)


def decline(proposal: Proposal, *, words: str, by, seen: int) -> Proposal:
    """Decline a proposal. Raises Refused without a reason."""
    if not words.strip():
        raise Refused("Say why not: “there are two more to find in square D4 first”.")
    with writing(proposal.engine_id):
        _refuse_answered(proposal)
        return _answer(proposal, Answer.DECLINED, words, seen, by)


def _refuse_answered(proposal: Proposal) -> None:
    row = Proposal.objects.get(pk=proposal.pk)
    if row.answer != Answer.OPEN:
        raise Refused(f"This was answered already: {row.get_answer_display().lower()}.")


def _answer(proposal: Proposal, answer: str, words: str, seen: int, by) -> Proposal:
    values = {"answer": answer, "answer_words": words}
    return saving.change(proposal, values, seen=seen, by=by)
