"""Fates that remarks tell of are asked once a haul, taxon and remark, and the answers kept beside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from haulbook.exchange.findings import Findings
from haulbook.exchange.remarks import Block, Remarked, blocks_of, said_in
from haulbook.exchange.sheet_catch import Catch, State
from haulbook.exchange.sheet_map import FATES
from haulbook.problems import Problem, Refusal, unknown


@dataclass(frozen=True, slots=True, eq=False)
class RemarkFate:
    """A fate that somebody confirmed for some animals of a block of rows.

    Attributes
    ----------
    catch : Catch
    taxon : str
        Name as written.
    rows : tuple of int
        As a spreadsheet counts them.
    n : int
        How many animals of these rows have the fate.
    fate : str
        Where they went.
    meaning : str
        What the remark says, in words without a name.
    """

    catch: Catch
    taxon: str
    rows: tuple[int, ...]
    n: int
    fate: str
    meaning: str


def settle_remarks(catch: Catch, haul_notes: Mapping[str, str], findings: Findings) -> list[RemarkFate]:
    """Ask about every remark that tells of a fate; return those that are answered.

    Parameters
    ----------
    haul_notes : mapping of haul key to str
        What the sheet of hauls remarks on each: it often has the number.
    """
    settled = []
    heading = catch.part.heading_of("remark")
    for block in blocks_of(_remarked(catch), haul_notes):
        if not block.said.asked:
            findings.tell(
                "note",
                f"the remark on {_rows(block)} says that {block.said.meaning}; taken as written",
                catch.table,
                block.rows[0],
                heading,
            )
            continue
        question = block.question()
        answer = findings.ask(
            question.about, question.key, question.rows, question.ask, catch.table, heading, question.to,
            told=block.told,
        )  # fmt: skip
        if answer is not None:
            fate, n = _checked(answer, block)
            if n:
                settled.append(RemarkFate(catch, block.taxon, block.rows, n, fate, block.said.meaning))
    return settled


def _remarked(catch: Catch) -> Iterator[Remarked]:
    """Yield the rows whose remark says something of a fate, in the order of the sheet."""
    heading = catch.part.heading_of("remark")
    if heading is None or heading not in catch.table.columns or not len(catch):
        return
    column = catch.table.columns[heading]
    telling = np.array([said_in(text) is not None for text in column.values], np.bool_)
    for i in np.flatnonzero(telling[column.codes[catch.at]]).tolist():
        n = int(catch.n[i]) if catch.state[i] == State.COUNTED else None
        yield Remarked(
            catch.table.label, catch.row(i), catch.haul[i], catch.name[i], column[int(catch.at[i])].strip(), n
        )


def _checked(answer: object, block: Block) -> tuple[str, int]:
    """Return fate and number of an answer, refusing what can't be."""
    fate, n = (answer.get("fate"), answer.get("n")) if isinstance(answer, Mapping) else (None, None)
    if fate not in FATES:
        raise Refusal(Problem("refused", f"{block.key!r}: {unknown('fate', str(fate), FATES)}"))
    if type(n) is not int or not 0 <= n <= block.animals:
        raise Refusal(
            Problem("refused", f"{block.key!r}: n is {n!r}; these rows hold {block.animals} animals")
        )
    return str(fate), n


def _rows(block: Block) -> str:
    return f"row {block.rows[0]}" if len(block.rows) == 1 else f"{len(block.rows)} rows"
