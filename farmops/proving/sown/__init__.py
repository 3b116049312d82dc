"""Seasons of sowing: an invented farm of fourteen varieties, week by week from sowing to market, played by policies."""
