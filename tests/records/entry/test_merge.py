"""Merging two changes of one treatment: whatever either side did is there afterwards, or a person is asked.

The expected outcome is worked out here edit by edit, in another way than the merge itself does it.
"""

from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from access.records.entry.document import LISTS, PARTS, blank
from access.records.entry.merge import merge

Document = dict[str, Any]
NAMES = ("a", "b", "c", "d")
FIELDS = {"frame": ("heparin", "notes", "shift"), "after": ("used", "note")}


@dataclass(frozen=True)
class Edit:
    """One change to a document: a field of a whole part, or an entry of a list that is put, changed or taken away."""

    part: str
    name: str
    value: str | None


def start() -> Document:
    """A document with two entries in each list."""
    document = blank(patient="p", clinic_day="2026-03-04")
    for part in LISTS:
        document[part] = [{"id": name, "note": "as it was"} for name in NAMES[:2]]
    return document


def edited(document: Document, edits: list[Edit]) -> Document:
    """The document after some edits."""
    changed = deepcopy(document)
    for edit in edits:
        if edit.part in FIELDS:
            changed[edit.part][edit.name] = edit.value or ""
            continue
        entries = {one["id"]: one for one in changed[edit.part]}
        if edit.value is None:
            entries.pop(edit.name, None)
        else:
            entries[edit.name] = {"id": edit.name, "note": edit.value}
        changed[edit.part] = list(entries.values())
    return changed


def pieces(document: Document) -> dict[tuple[str, str], Any]:
    """What a document says, piece by piece, as small as the merge looks at it."""
    found = {(part, ""): document[part] for part in FIELDS}
    return found | {(part, one["id"]): one for part in LISTS for one in document[part]}


an_edit = st.one_of(
    [
        st.builds(Edit, st.just(part), st.sampled_from(names), st.text("xy", max_size=2))
        for part, names in FIELDS.items()
    ]
    + [st.builds(Edit, st.sampled_from(LISTS), st.sampled_from(NAMES), st.none() | st.text("xy", max_size=2))]
)
edits = st.lists(an_edit, max_size=8)


@given(edits, edits)
def test_no_edit_is_lost_and_only_what_both_changed_differently_is_a_conflict(
    mine: list[Edit], hers: list[Edit]
) -> None:
    base = start()
    yours, theirs = edited(base, mine), edited(base, hers)
    merged = merge(base, yours=yours, theirs=theirs)
    before, one, other, after = (pieces(document) for document in (base, yours, theirs, merged.document))
    clashing = set()
    for piece in before.keys() | one.keys() | other.keys():
        was, by_me, by_her = before.get(piece), one.get(piece), other.get(piece)
        i_changed, she_changed = by_me != was, by_her != was
        if i_changed and she_changed and by_me != by_her:
            clashing.add(piece[0])
            continue
        assert after.get(piece) == (by_me if i_changed else by_her)
    assert set(merged.conflicts) == clashing
    assert list(merged.conflicts) == [part for part in PARTS if part in clashing]


@given(edits, edits)
def test_it_does_not_matter_who_came_first(mine: list[Edit], hers: list[Edit]) -> None:
    base = start()
    yours, theirs = edited(base, mine), edited(base, hers)
    one, other = merge(base, yours=yours, theirs=theirs), merge(base, yours=theirs, theirs=yours)
    assert one.conflicts == other.conflicts
    if not one.conflicts:
        assert pieces(one.document) == pieces(other.document)


@given(edits)
def test_a_save_that_nobody_came_before_is_stored_as_it_is(mine: list[Edit]) -> None:
    base = start()
    yours = edited(base, mine)
    merged = merge(base, yours=yours, theirs=base)
    assert not merged.conflicts
    assert pieces(merged.document) == pieces(yours)


@given(edits, edits)
def test_merging_leaves_the_three_documents_alone(mine: list[Edit], hers: list[Edit]) -> None:
    base = start()
    yours, theirs = edited(base, mine), edited(base, hers)
    kept = deepcopy((base, yours, theirs))
    merge(base, yours=yours, theirs=theirs)
    assert (base, yours, theirs) == kept


def test_one_side_taking_a_needle_away_that_the_other_changed_is_a_conflict() -> None:
    base = start()
    yours = edited(base, [Edit("needles", "a", None)])
    theirs = edited(base, [Edit("needles", "a", "moved")])
    assert merge(base, yours=yours, theirs=theirs).conflicts == ("needles",)
