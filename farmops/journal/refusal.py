"""The one way a workflow says no: in words that say what is wrong and what to do."""

from collections.abc import Mapping


class Refused(Exception):
    """A deed that cannot be done as asked. What was typed stays where it was typed.

    Attributes
    ----------
    field : str
        The form's field it belongs to; empty for the whole.
    offer : mapping
        Values that would do instead, e.g. the number of plants that fit.
    """

    def __init__(self, words: str, *, field: str = "", offer: Mapping[str, object] | None = None) -> None:
        super().__init__(words)
        self.field = field
        self.offer = dict(offer or {})


class NeedsYes(Refused):
    """Unusual, but it may be true: done when the same is sent again with its `question` among the answers given."""

    def __init__(
        self, words: str, *, question: str, field: str = "", offer: Mapping[str, object] | None = None
    ) -> None:
        super().__init__(words, field=field, offer=offer)
        self.question = question
