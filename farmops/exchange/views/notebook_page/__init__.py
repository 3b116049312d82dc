"""The notebook's page: what running out cost, what to bring next time, and how each figure comes about."""

from farmops.exchange.views.notebook_page.gaps import column_lines, left_out, settled
from farmops.exchange.views.notebook_page.page import make_page
from farmops.exchange.views.notebook_page.shown import NotebookPage

__all__ = ["NotebookPage", "column_lines", "left_out", "make_page", "settled"]
