import pytest

from farmops.exchange.notebook.columns import field_of, is_not_wasted


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("What", "item"),
        ("crop", "item"),
        ("  Crop ", "item"),
        ("took", "brought"),
        ("Came back", "left_over"),
        ("Left-over", "left_over"),
        ("gone by", "sold_out_at"),
        ("Ran out", "sold_out_at"),
        ("SOLD OUT AT", "sold_out_at"),
        ("where", "market"),
        ("Price ($)", "price"),
        ("Brought lb", "brought"),
        ("# brought", "brought"),
        ("Brought (bunches)", "brought"),
        ("sold_out_at", "sold_out_at"),
        ("Donated", "other_left"),
        ("The day", "date"),
        ("Our market", "market"),
        ("$ ea", "price"),
        ("$/bunch", "price"),
        ("$ per lb", "price"),
        ("Bunch ($)", "price"),
        ("per bunch, USD", "price"),
        ("ea", "price"),
        ("Cost $", "unit_cost"),
        ("Datum", "date"),
        ("Übrig", "left_over"),
        ("ausverkauft um", "sold_out_at"),
        ("Wetter", "weather"),
        ("Marché", "market"),
        ("apporté", "brought"),
        ("épuisé à", "sold_out_at"),
        ("météo", "weather"),
        ("producto", "item"),
        ("sobró", "left_over"),
        ("agotado a las", "sold_out_at"),
        ("Precio (€)", "price"),
        ("Sales $", None),
        ("Sold ($)", None),
        ("$", None),
        ("Harvest notes", None),
        ("", None),
    ],
)
def test_headings_in_many_words(heading, name):
    assert field_of(heading) == name


@pytest.mark.parametrize(
    ("heading", "answer"),
    [
        ("Donated", True),
        ("donation (lb)", True),
        ("Given away", True),
        ("Food bank", True),
        ("kept", True),
        ("Home", True),
        ("Compost", False),
        ("home compost", False),
        ("thrown away", False),
        ("chickens", False),
    ],
)
def test_which_leftovers_are_no_waste(heading, answer):
    assert is_not_wasted(heading) == answer
