"""What ``record`` and the commands of the book print as JSON."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from stainbook.kept import ACCEPTED_BY, RECIPE_STATES, RETURNED_FOR, VERDICTS
from stainbook.work.documents.document_parts import Chance, ColourResult, Difference, Document, OneOf, Result, Sentence
from stainbook.work.documents.plan_schemas import PaintedLayer

# ---------------------------------------------------------------- record


class BesideShown(Result):
    """What the program would have done on a zone, looked on at: its step with ΔE00 to the target and chance claimed.

    ``painted_dE00`` and ``painted_accept`` are what it claimed of the hand's own layers.
    """

    kind: str
    layers: list[PaintedLayer]
    dE00: Difference | None
    accept: Chance | None
    painted_dE00: Difference | None
    painted_accept: Chance | None


class RecordedOutcome(Result):
    """One zone of a firing; ``dE00`` is what came out against what was expected.

    ``held``: nothing that is learnt explains it, so nothing is learnt from it until somebody confirms it; ``why``
    says so, and ``next_step`` what to do.
    """

    zone: str
    expected: ColourResult | None
    got: ColourResult
    dE00: Difference | None
    held: bool
    case: str | None = None
    tooth: int | None = None
    to_target: Difference | None = None
    accepted: bool | None = None
    why: Sentence | None = None
    next_step: Sentence | None = None
    beside: BesideShown | None = None


class Learnt(Result):
    """What was learnt of a lot, an operator or a programme: a factor of the amount, from so many outcomes."""

    what: Annotated[str, OneOf("lot", "operator", "programme")]
    name: str
    factor: float
    low: float
    high: float
    outcomes: int
    sentence: Sentence


class HandScatterLearnt(Result):
    """How far a hand scatters from coat to coat, as a share of the amount, with the interval of 95 in 100.

    ``told``: outcomes can tell it; else it is drawn towards the lab's. ``operator`` is empty for whoever is not named.
    """

    operator: str
    scatter: Annotated[float, Field(ge=0.0)]
    low: Annotated[float, Field(ge=0.0)]
    high: Annotated[float, Field(ge=0.0)]
    outcomes: int
    told: bool
    sentence: Sentence


class PaintedUnread(Result):
    """A zone that was painted, fired and not read: what it is expected to be, within the 9-in-10 radius."""

    tooth: int
    zone: str
    expected: ColourResult | None
    dE00_p90: Difference | None
    case: str | None = None


class RecordResult(Document):
    """``stainbook record``; ``stored`` is false where the book held all of it, told by whom and when."""

    outcomes: list[RecordedOutcome]
    learnt: list[Learnt]
    scatter: list[HandScatterLearnt] = []
    painted: list[PaintedUnread] = []
    stored: bool = True
    told_by: str | None = None
    told_at: str | None = None


class WayStepShown(Result):
    """One step of the way of a piece: what, when (UTC), by whom, and what was said of it."""

    what: str
    at: str
    who: str = ""
    said: str = ""


class CaseResult(Document):
    """``stainbook case``: a case as it is now; ``read`` zones since their last change, ``next`` steps that may come."""

    case: str
    id: str | None
    stage: str | None
    material: str | None
    blank: str | None
    finish: str
    zones: int
    read: int
    unfired: int
    firings_left: int
    accepted_by: str | None
    returned: str | None
    way: list[WayStepShown]
    next: list[str]
    mark: str


class HeldOutcome(Result):
    """An outcome that is held back: what it is, why, and what to do; ``dE00`` from what was expected."""

    outcome: str
    case: str
    tooth: int
    zone: str
    fired_at: str
    dE00: Difference | None
    why: Sentence
    next_step: Sentence


class DecisionShown(Result):
    """What somebody said of an outcome: it was really so, it was wrong, or it is open again."""

    outcome: str
    verdict: Annotated[str, OneOf(*VERDICTS)]
    author: str
    created_at: str
    why: Sentence | None = None


class ConfirmResult(Document):
    """``stainbook book confirm``: what was decided, what is still held back, and what is now learnt."""

    decided: DecisionShown | None
    held: list[HeldOutcome]
    learnt: list[Learnt]
    scatter: list[HandScatterLearnt] = []


# ---------------------------------------------------------------- book


class EnteredShown(Result):
    """A thing of the book: who stored this revision of it, when, and what it says."""

    kind: str
    name: str
    revision: int
    author: str
    created_at: str
    lab: str | None = None
    state: str | None = None
    record: dict[str, Any] = {}


class ListResult(Document):
    """``stainbook book list``: how many things of each kind, or the things of one."""

    counts: dict[str, int]
    things: list[EnteredShown] = []


class UseShown(Result):
    """How a recipe did: uses, the share accepted with the interval that holds it in 95 % of cases, median ΔE00."""

    uses: int
    judged: int
    accepted: int
    share: Chance | None
    low: Chance | None
    high: Chance | None
    dE00_median: Difference | None
    remakes: dict[str, int] = {}


class ShowResult(Document):
    """``stainbook book show``: a thing as it holds now, and for a recipe how it did."""

    thing: EnteredShown
    revisions: int
    use: UseShown | None = None


class FoundThing(EnteredShown):
    """A hit of a search; ``dE00`` from the colour that was looked for."""

    dE00: Difference | None = None


class SearchResult(Document):
    """``stainbook book search``: nearest first, or newest first where no colour was asked."""

    found: list[FoundThing]


class Change(Result):
    """One place in which two revisions differ; null where one of them says nothing."""

    where: str
    before: Any = None
    after: Any = None


class RevisionShown(EnteredShown):
    """A revision, and in what it differs from the one that it is set beside."""

    why: Sentence | None = None
    against: int | None = None
    changes: list[Change] = []


class HistoryResult(Document):
    """``stainbook book history``: all revisions of a thing, oldest first."""

    kind: str
    name: str
    revisions: list[RevisionShown]


class StateResult(Document):
    """``stainbook book approve`` and ``retire``; ``meanwhile``: a revision that was stored since, not seen here."""

    recipe: str
    state: Annotated[str, OneOf(*RECIPE_STATES)]
    revision: int
    meanwhile: RevisionShown | None = None


class ExportResult(Document):
    """``stainbook book export``: what was written, and how many things of each kind."""

    path: str
    counts: dict[str, int]
    history: int = 0  # lines of it


class ImportItem(Result):
    """One thing of a folder or bundle: new, the same as the book's, or another one of that name, and ``in_what``."""

    kind: str
    name: str
    status: Annotated[str, OneOf("new", "same", "differs", "erased here", "erased there")]
    action: Annotated[str, OneOf("take", "rename", "skip", "erase")]
    renamed: str | None = None
    in_what: Sentence | None = None


class ImportResult(Document):
    """``stainbook book import``: ``stored`` is false for a preview; ``history`` counts the lines that came along."""

    path: str
    stored: bool
    items: list[ImportItem]
    history: int = 0


class VerifyResult(Document):
    """``stainbook book verify``: ``fit`` is the largest difference of the recomputed fit, null where there is none."""

    ok: bool
    records: int
    head: str
    erased: int
    faults: list[Sentence]
    fit: Annotated[float, Field(ge=0.0)] | None = None


class BackupResult(Document):
    """``stainbook book backup``: the copy, and that it was read back whole."""

    path: str
    records: int


class EraseResult(Document):
    """``stainbook book erase``: the tombstone that stays, the files that went, and where the case may still be."""

    tombstone: str
    records: int
    files: list[str] = []
    beyond_reach: list[Sentence] = []


class WithdrawResult(EnteredShown, Document):
    """``stainbook book withdraw``: what was taken back, and why; of a firing also how many outcomes went with it."""

    why: Sentence
    outcomes: int = 0


class ShareResult(Document):
    """``stainbook book share``."""

    kind: str
    name: str
    shared: bool


class HandoverResult(Document):
    """``stainbook book accept``, ``deliver`` and ``return``: how the case stands now."""

    case: str
    stage: str | None
    accepted_by: Annotated[str, OneOf(*ACCEPTED_BY)] | None
    returned: Annotated[str, OneOf(*RETURNED_FOR)] | None


class Cause(Result):
    """One cause of doubt: its share of the square of the whole, and its own standard deviation in ΔE00."""

    cause: Sentence
    share: Chance
    sigma: Difference


class ExplainResult(Document):
    """``stainbook explain``: the doubt of a zone's first step by its causes; ``sigma`` is the whole, in ΔE00."""

    case: str
    tooth: int
    zone: str
    step: Sentence | None = None
    sigma: Difference | None
    causes: list[Cause]
    learnt: list[Sentence]
    held: list[HeldOutcome] = []
    decided: list[DecisionShown] = []


COMMANDS: dict[str, type[Document]] = {
    "record": RecordResult,
    "explain": ExplainResult,
    "book list": ListResult,
    "book show": ShowResult,
    "book search": SearchResult,
    "book history": HistoryResult,
    "book approve": StateResult,
    "book retire": StateResult,
    "book keep": StateResult,
    "book export": ExportResult,
    "book import": ImportResult,
    "book verify": VerifyResult,
    "book backup": BackupResult,
    "book erase": EraseResult,
    "book withdraw": WithdrawResult,
    "book confirm": ConfirmResult,
    "book share": ShareResult,
    "book accept": HandoverResult,
    "book deliver": HandoverResult,
    "book return": HandoverResult,
}
