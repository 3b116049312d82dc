"""What must be asked before anything is computed: one question for a column, never one for each cell."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

LEAVE_OUT = "leave out"


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: the key that comes back, and its words."""

    key: str
    words: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """One question about the sheet.

    Attributes
    ----------
    key : str
        Names the question in `Answers.given`.
    question : str
        In words; names the heading as it stands in the sheet.
    choices : tuple of Choice
        () asks for typed text.
    rows : tuple of int
        The sheet's own row numbers that it touches.
    column : str
        The heading, "" where no single column is meant.
    default : str or None
        What is taken when nobody answers; None must be answered.
    answer : str or None
        What was answered.
    """

    key: str
    question: str
    choices: tuple[Choice, ...] = ()
    rows: tuple[int, ...] = ()
    column: str = ""
    default: str | None = None
    answer: str | None = None

    @property
    def settled(self) -> str | None:
        """The answer, else the default, else None."""
        return self.answer if self.answer is not None else self.default

    @property
    def must_be_answered(self) -> bool:
        return self.settled is None


@dataclass(frozen=True, slots=True)
class Answers:
    """What the person said so far: (key of the question, key of the choice or typed text), in any order."""

    given: tuple[tuple[str, str], ...] = ()

    @classmethod
    def of(cls, given: Mapping[str, str]) -> "Answers":
        return cls(tuple(sorted(given.items())))

    def get(self, key: str) -> str | None:
        return dict(self.given).get(key)


@dataclass(slots=True)
class Questions:
    """Collects the doubts while the sheet is read, and knows what was answered."""

    answers: Answers
    doubts: list[Doubt] = field(default_factory=list)

    def ask(
        self,
        key: str,
        question: str,
        choices: tuple[Choice, ...] = (),
        *,
        rows: tuple[int, ...] = (),
        column: str = "",
        default: str | None = None,
        fits: Callable[[str], bool] = bool,
    ) -> str | None:
        """Note the question; the answer or default that stands, None while it is open.

        Typed text that does not fit is no answer: the question stays.
        """
        answer = self.answers.get(key)
        if answer is not None and choices and answer not in {choice.key for choice in choices}:
            answer = None
        if answer is not None and not (answer.strip() and fits(answer.strip())):
            answer = None
        doubt = Doubt(key, question, choices, rows, column, default, answer)
        self.doubts.append(doubt)
        return doubt.settled

    @property
    def open(self) -> tuple[Doubt, ...]:
        return tuple(doubt for doubt in self.doubts if doubt.must_be_answered)


def rows_in_words(rows: tuple[int, ...], limit: int = 6) -> str:
    """ "7, 9 and 12", or "7, 9, 12 ..." when there are more than `limit`."""
    shown = [str(row) for row in rows[:limit]]
    if len(rows) > limit:
        return ", ".join(shown) + " ..."
    return shown[0] if len(shown) == 1 else " / ".join(shown)
