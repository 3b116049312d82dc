"""Reading a market notebook as people really keep it, with every doubt asked before anything is computed."""

from farmops.exchange.notebook.decode import decode
from farmops.exchange.notebook.doubts import Answers, Choice, Doubt
from farmops.exchange.notebook.notebook import Notebook, read_notebook
from farmops.exchange.notebook.refusal import NotebookRefused
from farmops.exchange.notebook.worth import starting_economics

__all__ = [
    "Answers",
    "Choice",
    "Doubt",
    "Notebook",
    "NotebookRefused",
    "decode",
    "read_notebook",
    "starting_economics",
]
