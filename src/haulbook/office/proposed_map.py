"""A proposed map as plain content, and what the proposal saw in the files, so that no page reads them again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from haulbook.exchange.propose import Proposal
from haulbook.exchange.propose_part import FileProposal
from haulbook.exchange.propose_toml import proposal_toml
from haulbook.exchange.toml_keys import parse_toml

SAMPLES = 3
"""Different texts that are shown of a column."""
_MOST_IN_A_SAMPLE = 40


@dataclass(frozen=True, slots=True)
class Seen:
    """What a proposal saw in the files, by number of the file: kept beside the map, so that no page reads them again.

    Attributes
    ----------
    whys : mapping of key to str
    headings : mapping of number to headings
    samples : mapping of number to heading to texts
        First different texts of each column, people apart.
    clocks : mapping of number to dict
        A column of times whose zone has to be said first.
    """

    whys: Mapping[str, str] = field(default_factory=dict)
    headings: Mapping[str, Sequence[str]] = field(default_factory=dict)
    samples: Mapping[str, Mapping[str, Sequence[str]]] = field(default_factory=dict)
    clocks: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        """Return it as it is stored."""
        return {"whys": self.whys, "headings": self.headings, "samples": self.samples, "clocks": self.clocks}


def map_of(proposal: Proposal) -> tuple[dict[str, Any], Seen]:
    """Return the content of a proposed map, and what was seen in the files."""
    numbered = {str(number): part for number, part in enumerate(proposal.files, 1)}
    whys = {"pack": proposal.pack_why}
    for number, part in numbered.items():
        whys |= _whys(f"file.{number}", part)
    seen = Seen(
        whys,
        {number: list(part.draft.table.headings) for number, part in numbered.items()},
        {number: _samples(part) for number, part in numbered.items()},
        {number: clock for number, part in numbered.items() if (clock := _clock(part))},
    )
    return parse_toml(proposal_toml(proposal), "the sheet map"), seen


def _whys(begins: str, part: FileProposal) -> dict[str, str]:
    whys = {f"{begins}.role": part.role.why}
    for line in part.lines:
        if line.key == "ignore":
            whys |= {f"{begins}.columns.{word.said}": word.why for word in line.value}
        elif line.key == "taxa":
            whys[f"{begins}.columns.{line.value}"] = line.why
        elif line.key == "date":
            whys[f"{begins}.date.form"] = line.why
        else:
            whys[f"{begins}.{line.key}"] = line.why
    for table, words in part.tables:
        whys |= {f"{begins}.{table}.{word.said}": word.why for word in words}
    return {key: why for key, why in whys.items() if why}


def _samples(part: FileProposal) -> dict[str, list[str]]:
    people = {
        word.said
        for table, words in part.tables
        if table == "columns"
        for word in words
        if word.ours == "person"
    }
    found = {}
    for heading, column in part.draft.table.columns.items():
        if heading not in people:
            full = (" ".join(text.split()) for text in column.values)
            found[heading] = [text[:_MOST_IN_A_SAMPLE] for text in full if text][:SAMPLES]
    return found


def _clock(part: FileProposal) -> dict[str, str] | None:
    """Return the column of times that is left out until somebody says the zone of its clock."""
    offered = next((line.value for line in part.lines if line.key == "time" and line.off), None)
    return {"column": offered["column"], "form": offered["form"]} if isinstance(offered, Mapping) else None
