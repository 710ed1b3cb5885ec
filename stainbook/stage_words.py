"""Stages of a piece, steps of its way, finish and surface as screens name them; files and commands keep their keys."""

from __future__ import annotations

from stainbook.language import say, say_as

STAGES = {
    "green": say("unsintered"),
    "trial": say("provisional"),
    "sintered": say("sintered"),
    "blasted": say("blasted"),
    "stained": say("stained"),
    "glazed": say("glazed"),
    "bonded": say("bonded"),
    "delivered": say("delivered"),
    "returned": say("returned"),
}
STEPS = {
    "opened": say("opened"),
    "fired": say("fired"),
    "milled": say("milled"),
    "coloured": say("coloured"),
    "dried": say("dried for sintering"),
    "sintered": say("sintered"),
    "ground": say("ground"),
    "polished": say("polished"),
    "blasted": say("blasted"),
    "cleaned": say("cleaned"),
    "stripped": say("stripped"),
    "try-in": say("sent to try-in"),
    "back": say("back from try-in"),
    "accepted": say("accepted"),
    "bonded": say("bonded"),
    "delivered": say("delivered"),
    "returned": say("returned"),
    "stated": say("stage set"),
    "noted": say("noted"),
    "prescribed": say("prescribed"),
    "chosen": say_as("of a step on the way of a case", "chosen"),
    "read": say_as("of a zone's colour", "read"),
    "painted": say("painted"),
    "wiped": say("wiped off, nothing lies on it"),
}
FINISHES = {"glaze": say("glaze"), "polish": say("polish"), "none": say_as("the finish of a piece", "none")}
SURFACES = {"matt": say("matt"), "polished": say("polished"), "glazed": say("glazed"), "wet": say("wet")}
FIRINGS = {
    "stain": say("stain"),
    "stain+glaze": say("stain and glaze"),
    "glaze": say("glaze"),
    "correction": say("correction"),
    "layering": say("layering"),
    "foundation": say("foundation"),
    "after-grinding": say("after grinding"),
    "resin": say("resin"),
    "sinter": say("sinter"),
}
ACCEPTED = {"lab": say("the lab"), "clinic": say("the clinic"), "patient": say("the patient")}
RETURNED = {
    "shade": say("shade"),
    "fit": say_as("why a piece came back", "fit"),
    "fracture": say("fracture"),
    "design": say("design"),
    "clinic change": say("change by the clinic"),
}
CONSISTENCIES = {
    "thin": say_as("how wet stain is put on", "thin"),
    "creamy": say_as("how wet stain is put on", "creamy"),
    "stiff": say_as("how wet stain is put on", "stiff"),
}
RECIPES = {"draft": say("draft"), "tried": say("tried"), "approved": say("approved"), "retired": say("retired")}


def stage_name(stage: str) -> str:
    """A stage in words.

    >>> stage_name("green")
    'unsintered'
    """
    return STAGES.get(stage, stage)


def firing_name(kind: str) -> str:
    """A kind of firing in words.

    >>> firing_name("stain+glaze")
    'stain and glaze'
    """
    return FIRINGS.get(kind, kind)


def finish_name(finish: str) -> str:
    """A finish in words.

    >>> finish_name("none")
    'none'
    """
    return FINISHES.get(finish, finish)


def step_name(step: str) -> str:
    """A step of a piece's way, once it was done.

    >>> step_name("back")
    'back from try-in'
    """
    return STEPS.get(step, step)


def recipe_state(state: str) -> str:
    """What a recipe is.

    >>> recipe_state("tried")
    'tried'
    """
    return RECIPES.get(state, state)


def consistency_name(consistency: str) -> str:
    """How wet stain is put on.

    >>> consistency_name("creamy")
    'creamy'
    """
    return CONSISTENCIES.get(consistency, consistency)


def surface_name(surface: str) -> str:
    """How a face was when it was read.

    >>> surface_name("matt")
    'matt'
    """
    return SURFACES.get(surface, surface)
