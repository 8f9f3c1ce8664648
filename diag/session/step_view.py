"""The cautions before a step of a case."""

from __future__ import annotations

from diag.model.check import Check
from diag.model.remedy import Remedy
from diag.planning.cautions import cautions_before, cautions_within_reach
from diag.session.snapshot import Snapshot, StepView


def step_view(snapshot: Snapshot, step: Check | Remedy) -> StepView:
    """Those of a check or a remedy, of its way and of what is open; dangers unread among them."""
    book, state, found = snapshot.book, snapshot.state, snapshot.assessment
    raised = found.conclusions.cautions if found else ()
    names = cautions_before(book, step, state.open_layers, raised)
    beside = cautions_within_reach(book, step, state.open_layers)
    cautions = tuple(book.cautions[name] for name in dict.fromkeys((*names, *beside)))
    unread = tuple(
        caution
        for caution in cautions
        if caution.id in names
        and caution.severity == "danger"
        and (caution.id, step.id) not in state.acknowledged
    )
    return StepView(step.id, cautions, unread)
