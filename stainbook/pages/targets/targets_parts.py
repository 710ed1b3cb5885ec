"""The parts of the page of targets and effects: the arch on which several zones are chosen, and a form a part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from stainbook.faces.reading_types import Light
from stainbook.faces.view_types import said_target, zone_state
from stainbook.faces.wish_face import WishFace
from stainbook.faces.wish_types import STEP, Aim, group_of
from stainbook.language import joined
from stainbook.pages.case.case_arch import DARK_BELOW
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.light_choice import light_choice
from stainbook.pages.shell.page_frame import do, forget, go_to, keep, keeping, kept
from stainbook.pages.shell.plain import bare, counted, named_zone
from stainbook.pages.shell.pressing import pressed, pressed_here_too, writing_button
from stainbook.pages.widgets.arch_svg import Face, jaws, key_text
from stainbook.pages.widgets.markup import pick_many, show_markup
from stainbook.pages.widgets.swatches import screen
from stainbook.pages.widgets.tables import table
from stainbook.records import EFFECTS, GUM_ZONES, TOOTH_ZONES, Case
from stainbook.words.effects import effect_name
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name
from stainbook.work.documents.schemas import AdvisedZone

ZoneKey = tuple[int, str]
NAMED = 12  # chosen zones that are named
EDGES = ("incisal", "occlusal")


@dataclass(frozen=True, slots=True)
class EditedCase:
    """The case that is changed: its file, what it says, and its zones with their colours."""

    code: str
    case: Case
    zones: tuple[AdvisedZone, ...]

    @classmethod
    def of(cls, code: str) -> EditedCase:
        """The case of a file."""
        view = case_source.case(code).desk.gaps()
        return cls(code, view.case, tuple(view.advised.zones))

    @property
    def chosen(self) -> list[ZoneKey]:
        """The zones that are chosen on the arch."""
        found = set(kept(f"chosen {self.code}", []))
        return [zone.key for zone in self.case.zones if key_text(zone.key) in found]

    @property
    def wish(self) -> WishFace:
        """What is prescribed of it."""
        return case_source.case(self.code).wish

    def change(self, act: Callable[[WishFace], None]) -> None:
        """Change the case and draw the page anew, or say why not."""
        do(lambda: act(self.wish), cannot=words.CANNOT_CHANGE)


def undo_button(place: EditedCase) -> None:
    """One button that names what it undoes."""
    last = place.wish.undoable()
    label = words.UNDO.format(what=last.what) if last else words.NOTHING_TO_UNDO
    if writing_button(label, width="stretch", disabled=last is None, key="undo"):
        place.wish.undo()
        st.rerun()


# ---------------------------------------------------------------- the arch


def arch(place: EditedCase) -> None:
    """The drawn jaws filled with the targets; a tap chooses a zone or takes it off again."""
    with st.container(horizontal=True, gap="small"):
        for group, word in words.GROUPS.items():
            if writing_button(word, key=f"group {group}"):
                keep(
                    f"chosen {place.code}", [key_text((one.tooth, one.zone)) for one in place.zones if _is(one, group)]
                )
                st.rerun()
    chosen = [key_text(key) for key in place.chosen]
    pick_many(
        jaws(place.zones, _face), label=words.CHOOSE_ZONES, chosen=chosen, key="targets arch",
        on_pick=lambda found: keep(f"chosen {place.code}", found),
    )  # fmt: skip
    names = joined([*(place_name(*key) for key in place.chosen[:NAMED]), *(["…"] if len(chosen) > NAMED else [])])
    st.markdown(counted(words.CHOSEN, len(chosen), names=names) if chosen else words.NONE_CHOSEN)


def _is(zone: AdvisedZone, group: str) -> bool:
    own = (zone.tissue, zone.zone, group_of(zone.tooth, zone.tissue))
    return group in own or (group == "edge" and zone.zone in EDGES)


def _face(zone: AdvisedZone) -> Face:
    colour = zone.target
    label = joined([place_name(zone.tooth, zone.zone), wording.lab(colour) if colour else words.NO_TARGET], ": ")
    fill = screen(colour) if colour else None
    return Face(fill, zone_state(zone), "" if colour else "–", bool(colour and colour.L < DARK_BELOW), label)


# ---------------------------------------------------------------- targets


def target_form(place: EditedCase, press: Any) -> None:
    """Where the chosen zones must go."""
    kind = st.selectbox(
        words.AIM_LABEL, list(words.AIMS), format_func=words.AIMS.__getitem__, **keeping("aim kind", "tab")
    )
    light = light_choice(place.code) if kind == "lab" else Light(None, None)
    said = _said(place, kind)
    value, chroma = st.columns(2)
    shift = (
        value.text_input(words.LIGHTER, help=words.SHIFT_HELP, **keeping("aim value")),
        chroma.text_input(words.STRONGER, help=words.SHIFT_HELP, **keeping("aim chroma")),
    ) if kind != "none" else ("", "")  # fmt: skip
    keys = place.chosen
    _steps(place, keys)
    label = counted(words.SET_TARGETS, len(keys))
    if pressed_here_too(label, place=press, key="aim", disabled=not keys or said is None):
        place.change(lambda wish: wish.aim(keys, Aim(kind, said or "", *shift), light))


def _steps(place: EditedCase, keys: list[ZoneKey]) -> None:
    """One step upon what each chosen zone has, and back to what its group has."""
    with st.container(horizontal=True, gap="small"):
        for (value, chroma), word in words.STEPS_OF_TARGET.items():
            told = words.STEP_HELP.format(step=f"{STEP:g}")
            if pressed(word, key=f"step {value} {chroma}", help=told, disabled=not keys):
                place.change(lambda wish, value=value, chroma=chroma: wish.step(keys, value=value, chroma=chroma))  # type: ignore[misc]
        own = {key for group in place.wish.groups() for key in group.differ}
        if own & set(keys) and pressed(words.AS_GROUP, key="as group"):
            place.change(lambda wish: wish.as_group(keys))


def groups_form(place: EditedCase, press: Any) -> None:
    """One target a tooth group; one press sets all that changed, and single zones keep what is their own."""
    light, wanted, groups = light_choice(place.code), {}, place.wish.groups()
    offered = case_source.lab().cases.names_offered()
    for one in groups:
        tabs = offered.tabs["gingiva" if one.group == "gum" else "tooth"]
        key = f"group {one.group} {place.code} {one.said}"
        options = list(dict.fromkeys([*([one.said] if one.said else []), *tabs, *filter(None, [kept(key, "")])]))
        found = st.selectbox(
            counted(words.TARGET_GROUPS[one.group], one.zones), options, index=None, accept_new_options=True,
            format_func=bare, placeholder="", help=words.GROUP_HELP, **keeping(key, one.said or None),
        )  # fmt: skip
        wanted[one.group] = found or ""
    changed = {one.group: wanted[one.group] for one in groups if wanted[one.group] not in ("", one.said)}
    for one in groups:
        if one.differ:
            more = ["…"] if len(one.differ) > NAMED else []
            names = joined([*(place_name(*key) for key in one.differ[:NAMED]), *more])
            st.markdown(counted(words.DIFFERING, len(one.differ), zones=names))
    if pressed_here_too(words.SET_GROUPS, place=press, key="set groups", disabled=not changed):
        place.change(lambda wish: _prescribe(wish, changed, light, place))


def _prescribe(wish: WishFace, changed: dict[str, str], light: Light, place: EditedCase) -> None:
    """Set them; of a piece that was not read yet, on to its readings."""
    wish.prescribe(changed, light)
    if place.case.stage != "green" and not any(zone.now for zone in place.zones):
        go_to("readings_page")


def _said(place: EditedCase, kind: str) -> str | None:
    """What the target is, None where there is nothing to choose from."""
    if kind == "lab":
        return str(st.text_input(words.LAB_AIM, help=texts.TARGET_HELP, **keeping("aim lab")))
    if kind == "reading":
        return str(st.text_input(words.READING_AIM, help=words.READING_HELP, **keeping("aim reading")))
    if kind not in ("tab", "trial"):
        return ""
    tissues = {zone.tissue for zone in place.case.zones if zone.key in place.chosen} or {"tooth", "gingiva"}
    offered = case_source.lab().cases.names_offered()
    tabs = dict.fromkeys(one for tissue in sorted(tissues, reverse=True) for one in offered.tabs[tissue])
    found = list(offered.trials if kind == "trial" else tabs)
    if not found:
        st.info(words.NO_TABS)
        return None
    key = f"aim {kind} {'-'.join(sorted(tissues))}"
    if kept(key, found[0]) not in found:
        forget(key)
    label = words.TRIAL_AIM if kind == "trial" else words.TAB
    return str(st.selectbox(label, found, **keeping(key, found[0])))


def show_targets(place: EditedCase) -> None:
    """The target of each zone in words."""
    rows = [
        (escape(place_name(zone.tooth, zone.zone)), escape(said_target(zone.target) or words.NO_TARGET))
        for zone in place.case.zones
    ]
    show_markup(f'<div class="aims">{table(words.TARGET_HEADS, rows, wide=1)}</div>', key="aims")


# ---------------------------------------------------------------- effects


def effects_form(place: EditedCase, press: Any) -> None:
    """Something to be drawn by eye on the teeth of the chosen zones."""
    teeth = list(dict.fromkeys(tooth for tooth, _ in place.chosen))
    st.caption(words.TEETH_OF_EFFECT)
    effect = st.selectbox(
        words.EFFECT_LABEL, EFFECTS, accept_new_options=True, help=words.EFFECT_HELP,
        format_func=lambda one: bare(effect_name(one)), **keeping("effect", EFFECTS[0]),
    )  # fmt: skip
    where = st.text_input(words.EFFECT_PLACE, **keeping("effect place"))
    mix = st.text_input(words.EFFECT_MIX, help=words.EFFECT_MIX_HELP, **keeping("effect mix"))
    note = st.text_input(words.EFFECT_NOTE, **keeping("effect note"))
    label = words.ADD_EFFECT.format(teeth=", ".join(map(str, teeth)) or "…")
    if pressed(label, place=press, key="draw", type="primary", disabled=not teeth):
        place.change(lambda wish: wish.draw(teeth, effect or "", place=where, mix=mix, note=note))


def show_effects(place: EditedCase) -> None:
    """What is listed, each with a button that takes it off."""
    if not place.case.effects:
        st.markdown(words.NO_EFFECTS)
    for number, one in enumerate(place.case.effects):
        name = joined([str(one.tooth), effect_name(one.effect)], " ")
        parts = (name, one.place, wording.mix(one.pot.as_dict()) if one.pot else None, one.note)
        said = joined(part for part in parts if part)
        if pressed(words.TAKE_OFF.format(effect=said), key=f"effect {number} {said}"):
            place.change(lambda wish, one=one: wish.undraw(one))  # type: ignore[misc]


# ---------------------------------------------------------------- zones


def zones_form(place: EditedCase, press: Any) -> None:
    """More zones, or fewer."""
    typed = st.text_input(words.ADD_TEETH, help=texts.TEETH_HELP, **keeping("more teeth"))
    zones = st.multiselect(
        words.ADD_ZONES, [*TOOTH_ZONES, *GUM_ZONES], format_func=named_zone,
        **keeping("more zones", ["cervical", "middle", "incisal"]),
    )  # fmt: skip
    if pressed_here_too(words.ADD, place=press, key="add", disabled=not (typed.strip() and zones)):
        place.change(lambda wish: wish.add_zones(typed, zones))
    keys = place.chosen
    label = counted(words.TAKE_OUT, len(keys))
    if pressed(label, key="take out", width="stretch", disabled=not keys):
        place.change(lambda wish: wish.take_out(keys))
    _wrong_tooth(place)


def _wrong_tooth(place: EditedCase) -> None:
    """A tooth that was named wrong gets its right number."""
    st.markdown(words.WRONG_TOOTH)
    teeth = list(dict.fromkeys(zone.tooth for zone in place.case.zones))
    if kept(f"wrong tooth {place.code}", teeth[0]) not in teeth:  # it was called otherwise on another screen
        forget(f"wrong tooth {place.code}")
    left, right = st.columns(2)
    wrong = left.selectbox(words.WRONG, teeth, **keeping(f"wrong tooth {place.code}", teeth[0]))
    number = right.text_input(words.RIGHT, **keeping(f"right tooth {place.code}")).strip()
    both = number in map(str, teeth)
    label = (words.EXCHANGE_TEETH if both else words.RENAME).format(wrong=wrong, right=number)
    pairs = [f"{wrong}={number}", *([f"{number}={wrong}"] if both else [])]
    if pressed(label, key="rename", width="stretch", disabled=not number):
        place.change(lambda wish: _renamed(wish, place.code, pairs))


def _renamed(wish: WishFace, code: str, pairs: list[str]) -> None:
    wish.rename(pairs)
    for field in ("wrong", "right"):
        forget(f"{field} tooth {code}")
