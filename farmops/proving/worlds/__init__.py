"""Thirteen simulated market stalls. They know nothing of the method that is tried in them."""

from farmops.proving.worlds.calm import CALM
from farmops.proving.worlds.restless import RESTLESS

WORLDS = {world.name: world for world in (*CALM, *RESTLESS)}
