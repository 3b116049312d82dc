"""Sheets lie on the desk in memory, the longest untouched makes room, and nothing is worked out twice."""

from farmops.exchange.desk import RESULTS_PER_SHEET, SHEETS_AT_ONCE, Desk, key_of


def test_the_same_sheet_has_the_same_address_and_another_one_another():
    assert key_of(b"date,item") == key_of("date,item")
    assert len({key_of(b"date,item"), key_of(b"date,item\n"), key_of(b"")}) == 3


def test_a_lone_surrogate_in_pasted_text_still_gets_an_address():
    assert len(key_of("\ud800")) == 20


def test_the_longest_untouched_sheet_makes_room():
    desk = Desk()
    keys = [desk.put(f"sheet {number}", "").key for number in range(SHEETS_AT_ONCE)]
    desk.get(keys[0])
    desk.put("one more", "")
    assert [desk.get(key) is not None for key in keys] == [True, False] + [True] * (SHEETS_AT_ONCE - 2)


def test_what_was_worked_out_is_not_worked_out_again():
    desk = Desk()
    key = desk.put("a", "").key
    calls = []
    for _again in range(3):
        assert desk.once(key, ("read", ()), lambda: calls.append(1) or "result") == "result"
    assert calls == [1]


def test_only_the_last_few_results_are_held():
    desk = Desk()
    key = desk.put("a", "").key
    for number in range(RESULTS_PER_SHEET + 1):
        desk.once(key, number, lambda number=number: number)
    assert desk.once(key, 0, lambda: "again") == "again"
    assert desk.once(key, RESULTS_PER_SHEET, lambda: "again") == RESULTS_PER_SHEET


def test_forgetting_a_sheet_forgets_what_was_worked_out():
    desk = Desk()
    key = desk.put("a", "").key
    desk.once(key, 1, lambda: "first")
    desk.forget(key)
    assert desk.get(key) is None
    desk.put("a", "")
    assert desk.once(key, 1, lambda: "second") == "second"
