"""Simulated market stalls: thirteen written by hand and thirteen drawn by rule. They know nothing of the method."""

from farmops.proving.worlds.calm import CALM
from farmops.proving.worlds.fresh import fresh_worlds
from farmops.proving.worlds.restless import RESTLESS

WORLDS = {world.name: world for world in (*CALM, *RESTLESS)}
FRESH = {world.name: world for world in fresh_worlds()}
