"""A notebook that cannot be read at all: what is wrong in plain words, where, and what to do."""


class NotebookRefused(Exception):
    """Nothing was taken in.

    Parameters
    ----------
    words : str
        What is wrong, as said to a grower.
    remedy : str
        What to do about it.
    row : int, optional
        The sheet's own row number where the trouble is.
    column : str, optional
        The heading of the column.
    rows : tuple of int, optional
        All rows concerned, when there is more than one.
    """

    def __init__(
        self, words: str, remedy: str, *, row: int | None = None, column: str = "", rows: tuple[int, ...] = ()
    ) -> None:
        super().__init__(f"{words} {remedy}")
        self.words = words
        self.remedy = remedy
        self.row = row if row is not None else (rows[0] if rows else None)
        self.column = column
        self.rows = rows or (() if row is None else (row,))
