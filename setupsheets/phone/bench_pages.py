"""What each address of the phone gives: a page, or where to go once something is written.

One request is worked at a time. The work is Python's and would be no quicker side by side, and what
two phones send at one moment comes one after the other so.
"""

from __future__ import annotations

import datetime
import threading
from collections import defaultdict
from collections.abc import Callable, Mapping
from contextlib import ExitStack, suppress
from functools import wraps
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.bench.acts import Act, joined, keep, kept_before, owed
from setupsheets.bench.piece_in_hand import called_proved, dialled_first, done
from setupsheets.bench.questions import MustBeSaid, Unreadable
from setupsheets.bench.typed_pieces import first_dialled
from setupsheets.files.faults import DataFaults
from setupsheets.files.safe_writing import WriteFault, locked
from setupsheets.phone.measuring import (
    Form,
    GoneOn,
    PieceInHand,
    did_in,
    is_known,
    is_phones,
    keep_line,
    may_be_said,
    own_in,
    piece_in_hand,
    still_counts,
    take_back,
    told_in,
    typed_in,
    work_out,
)
from setupsheets.phone.page_making import page
from setupsheets.phone.reading_screen import line_screen
from setupsheets.phone.screens import (
    answer_screen,
    job_links,
    moves_of,
    route_screen,
    set_up_screen,
)
from setupsheets.phone.shop_at_hand import ShopAtHand
from setupsheets.records.open_set_up import BEGINNERS_WAIT, OpenSetUp
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import SHOP_FILE
from setupsheets.shop.phone_addresses import page_path, set_up_called
from setupsheets.wording.bench import ALTHOUGH
from setupsheets.wording.phone import (
    DONE_BEFORE,
    FAULTS,
    NO_FIGURE,
    NOT_HERE,
    NOT_WRITTEN_NOW,
    NOTHING_READ,
    SAY_WHAT,
)


class Visit(Struct, frozen=True):
    """One request: the ``steps`` of its path by name, what it ``asked`` behind them, its form;
    ``sent`` tells one that writes."""

    steps: Mapping[str, str]
    asked: Mapping[str, str]
    form: Form
    sent: bool = False


class Shown(Struct, frozen=True):
    """A page; plain words where it is none."""

    html: str
    status: int = 200


class Go(Struct, frozen=True):
    """Where to go on: what was sent is written."""

    path: str


Make = Callable[[Visit], Shown | Go]


def _one_at_a_time(
    make: Callable[[BenchPages, Visit], Shown | Go],
) -> Callable[[BenchPages, Visit], Shown | Go]:
    @wraps(make)
    def made(self: BenchPages, visit: Visit) -> Shown | Go:
        with self.lock, ExitStack() as stack:
            if visit.sent:  # no other server of this shop between what is read and what is written
                with suppress(WriteFault):
                    stack.enter_context(locked(self.folder / SHOP_FILE, BEGINNERS_WAIT))
            try:
                return make(self, visit)
            except KeyError:
                return self._page("gone.html", NOT_HERE, 404, lines=(), here="")
            except DataFaults as found:
                return self.faults(found)

    return made


class BenchPages:
    """The pages of the shop in a folder, under its token; ``today`` says what day it is."""

    def __init__(self, folder: Path, token: str, today: Callable[[], datetime.date]) -> None:
        self.lock = threading.Lock()
        self.folder = folder
        self._at_hand = ShopAtHand(folder)
        self._token = token
        self._today = today

    @_one_at_a_time
    def jobs(self, visit: Visit) -> Shown | Go:
        """The shop's jobs."""
        shop = self._at_hand.shop()
        links = tuple(job_links(self._at_hand.jobs(), shop, self._token))
        return self._page("jobs.html", shop.settings.title, jobs=links)

    @_one_at_a_time
    def route(self, visit: Visit) -> Shown | Go:
        """A job's route with what is done ticked."""
        inputs = self._at_hand.inputs(visit.steps["job"], self._today())
        screen = route_screen(inputs, self._token)
        return self._page("route.html", screen.title, screen=screen)

    @_one_at_a_time
    def set_up(self, visit: Visit) -> Shown | Go:
        """One set-up: drawing, figures, cautions."""
        inputs = self._at_hand.inputs(visit.steps["job"], self._today())
        opened = self._opened(visit)  # last, as it tells which files could not be used
        screen = set_up_screen(opened, inputs, self._token, self._today())
        return self._page(
            "set-up.html",
            screen.title,
            screen=screen,
            here=self._here(visit),
            route=page_path(self._token, visit.steps["job"]),
        )

    @_one_at_a_time
    def answer(self, visit: Visit) -> Shown | Go:
        """What the test pieces come to."""
        opened = self._opened(visit)
        if not opened.record.pieces:
            return Go(self._here(visit))
        return self._answer(visit, opened)

    def _answer(
        self, visit: Visit, opened: OpenSetUp, wrong: str = "", why: str = "", status: int = 200
    ) -> Shown:
        screen = answer_screen(opened, self._token, self._today())
        return self._page(
            "answer.html",
            screen.title,
            status,
            screen=screen,
            here=self._here(visit),
            wrong=wrong,
            why=why,
            form=defaultdict(str, visit.form),
        )

    @_one_at_a_time
    def say_done(self, visit: Visit) -> Shown | Go:
        """What was done about the last advice."""
        opened, own = self._opened(visit), own_in(visit.form)
        there = f"{self._here(visit)}/answer"
        if kept_before(opened, own):
            return Go(there)
        if not may_be_said(opened, self._today(), visit.form):
            return self._answer(visit, opened, DONE_BEFORE, status=409)
        did = did_in(visit.form)
        try:
            if not did:
                raise Unreadable(SAY_WHAT)
            done(opened, Act(self._today(), did=did), own)
        except Unreadable as error:
            return self._answer(visit, opened, str(error), status=422)
        return Go(there)

    @_one_at_a_time
    def say_dialled(self, visit: Visit) -> Shown | Go:
        """What had been dialled at first, where that was not what the sheet said."""
        said = Act(self._today(), dialled=told_in(visit.form, "dialled-"))
        return self._said(visit, lambda opened, own: dialled_first(opened, said, own))

    def _said(self, visit: Visit, keep: Callable[[OpenSetUp, str], object]) -> Shown | Go:
        """The answer after an act that is kept once under its own letters."""
        opened, own = self._opened(visit), own_in(visit.form)
        if not kept_before(opened, own):
            try:
                keep(opened, own)
            except Unreadable as error:
                return self._answer(visit, opened, str(error), status=422)
        return Go(f"{self._here(visit)}/answer")

    @_one_at_a_time
    def work_out_owed(self, visit: Visit) -> Shown | Go:
        """The advice that a piece broken off elsewhere still owes."""
        owed(self._opened(visit), self._today())
        return Go(f"{self._here(visit)}/answer")

    @_one_at_a_time
    def strike(self, visit: Visit) -> Shown | Go:
        """The last reading of a measure struck out, a slip."""
        slip = Act(self._today(), strikes=(visit.form.get("of", ""),))
        return self._said(visit, lambda opened, own: keep(opened, replace(slip, own=own)))

    @_one_at_a_time
    def prove(self, visit: Visit) -> Shown | Go:
        """The set-up called proved, and where its test piece hangs."""
        opened, own = self._opened(visit), own_in(visit.form)
        there = f"{self._here(visit)}/answer"
        if kept_before(opened, own) or opened.record.verdict is Verdict.PROVED:
            return Go(there)
        if not opened.record.pieces:
            return Go(self._here(visit))
        kept, although = (visit.form.get(key, "").strip() for key in ("kept", "although"))
        try:
            called_proved(opened, Act(self._today(), kept=kept, although=although), own)
        except MustBeSaid as question:
            why = f"{' '.join(question.words)} {ALTHOUGH}."
            return self._answer(visit, opened, why=why, status=422)
        return Go(there)

    @_one_at_a_time
    def give_up(self, visit: Visit) -> Shown | Go:
        """The record that the page showed given up."""
        opened, own = self._opened(visit), own_in(visit.form)
        if opened.path is not None and opened.record.name == visit.form.get("record"):
            keep(opened, Act(self._today(), verdict=Verdict.GIVEN_UP, own=own))
        return Go(self._here(visit))

    @_one_at_a_time
    def join(self, visit: Visit) -> Shown | Go:
        """All open records of the set-up made one."""
        opened, own = self._opened(visit), own_in(visit.form)
        if opened.others and not opened.unlike_others():
            joined(opened, Act(self._today(), own=own))
        return Go(self._here(visit))

    @_one_at_a_time
    def line(self, visit: Visit) -> Shown | Go:
        """One line of a test piece to be read."""
        try:
            piece = self._piece(visit)
        except GoneOn as found:
            return self._gone(visit, found)
        if piece.is_finished:
            return Go(f"{self._here(visit)}/answer")
        index = self._index(visit, piece) if "line" in visit.asked else piece.first_unread
        return self._line(visit, piece, index)

    @_one_at_a_time
    def read(self, visit: Visit) -> Shown | Go:
        """What was read of one line, or the reading typed last taken back, or all worked out."""
        try:
            piece = self._piece(visit)
        except GoneOn as found:
            return self._gone(visit, found)
        except Unreadable as error:
            piece = self._piece(visit, begins=False)
            return self._line(visit, piece, self._index(visit, piece), str(error), status=422)
        index, act = self._index(visit, piece), visit.form.get("act", "")
        if act == "take back":
            piece, index = take_back(piece, visit.form)
            return Go(f"{self._piece_path(visit)}?line={index}")
        if act == "work out":
            return self._worked_out(visit, piece)
        if index >= len(piece.lines):
            return Go(self._piece_path(visit))
        return self._kept(visit, piece, index)

    def _kept(self, visit: Visit, piece: PieceInHand, index: int) -> Shown | Go:
        """A figure written, then the next line; all worked out behind the last."""
        try:
            if not typed_in(visit.form):
                raise Unreadable(NO_FIGURE)
            piece = keep_line(piece, index, visit.form)
        except Unreadable as error:
            return self._line(visit, piece, index, str(error), status=422)
        except MustBeSaid as question:
            return self._line(visit, piece, index, doubts=question.words, status=422)
        except GoneOn as found:
            return self._line(visit, piece, index, str(found), status=409)
        more = visit.form.get("act", "") == "again"
        following = index if more else piece.next_after(index)
        if following < len(piece.lines):
            return Go(f"{self._piece_path(visit)}?line={following}")
        return self._worked_out(visit, piece)

    def _worked_out(self, visit: Visit, piece: PieceInHand) -> Shown | Go:
        """The answer once the piece is finished, or what stands in its way."""
        piece, last = self._piece(visit, whole=True), len(piece.lines)
        did = did_in(visit.form) if visit.form.get("act") == "work out" else ()
        try:
            if work_out(piece, Act(self._today(), did=did)) is None and not piece.is_finished:
                return self._line(visit, piece, last, NOTHING_READ, status=422)
        except MustBeSaid as question:
            if visit.form.get("act") != "work out":
                return Go(f"{self._piece_path(visit)}?line={last}")
            return self._line(visit, piece, last, asked=question.words, status=422)
        except Unreadable as error:
            return self._line(visit, piece, last, str(error), status=422)
        return Go(f"{self._here(visit)}/answer")

    def _line(
        self,
        visit: Visit,
        piece: PieceInHand,
        index: int,
        wrong: str = "",
        *,
        doubts: tuple[str, ...] = (),
        asked: tuple[str, ...] = (),
        status: int = 200,
    ) -> Shown:
        there = self._piece_path(visit)
        screen = line_screen(piece, index, there)
        return self._page(
            "line.html",
            screen.title,
            status,
            screen=screen,
            here=self._here(visit),
            there=f"{there}?line={index}",
            wrong=wrong,
            doubts=doubts,
            typed=typed_in(visit.form) if doubts else "",
            asked=asked or piece.question if index >= len(piece.lines) else (),
            moves=moves_of(piece.opened),
            form=defaultdict(str, visit.form),
        )

    def _gone(self, visit: Visit, found: GoneOn) -> Shown:
        here = self._here(visit)
        return self._page("gone.html", str(found), 409, lines=found.lines, here=here)

    def faults(self, found: DataFaults) -> Shown:
        """What is wrong with the shop's files; the folder that they lie in is nobody's business."""
        lines = [str(each).replace(f"{self.folder}/", "") for each in found.faults]
        left = found.left.replace(f"{self.folder}/", "")
        title = NOT_WRITTEN_NOW if isinstance(found, WriteFault) else FAULTS
        return self._page("faults.html", title, 500, lines=lines, left=left)

    def _page(self, template: str, title: str, status: int = 200, **values: Any) -> Shown:
        return Shown(page(template, self._token, title, **values), status)

    def _opened(self, visit: Visit) -> OpenSetUp:
        return self._at_hand.opened(visit.steps["job"], _set_up(visit), self._today())

    def _here(self, visit: Visit) -> str:
        return page_path(self._token, visit.steps["job"], _set_up(visit))

    def _piece_path(self, visit: Visit) -> str:
        return f"{self._here(visit)}/{visit.steps['kind']}/{visit.steps['own']}"

    def _piece(self, visit: Visit, *, begins: bool = True, whole: bool = False) -> PieceInHand:
        """The piece of an address; one that is not there ``begins`` as the form says."""
        kind, own = visit.steps["kind"], visit.steps["own"]
        if kind not in ("piece", "again", "afresh") or not is_phones(own):
            raise KeyError(own)
        form = visit.form if begins else {}
        length, dialled = form.get("length", "").strip(), told_in(form, "dialled-")
        find = self._at_hand.opened if whole else self._at_hand.measured
        asked = visit.steps["job"], _set_up(visit), self._today()
        opened, afresh = find(*asked), kind == "afresh"
        still_counts(opened, own, visit.form)
        if not is_known(opened, own) and (afresh or (dialled and opened.path is None)):
            figures = first_dialled(dialled, opened.set_up, opened.notation)
            opened = self._at_hand.begun(*asked, figures, afresh)
        return piece_in_hand(opened, own, Act(self._today()), kind == "again", length)

    @staticmethod
    def _index(visit: Visit, piece: PieceInHand) -> int:
        """The line that a form is of."""
        text = visit.asked.get("line", "")
        at = int(text) if text.isdecimal() and len(text) < 4 else len(piece.lines)
        return min(at, len(piece.lines))


def _set_up(visit: Visit) -> str:
    return set_up_called(visit.steps["set_up"])
