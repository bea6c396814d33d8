"""Equal texts and days become one object; values of other kinds stay what they are."""

from datetime import date, datetime

from servicedesk.records.alike import alike


def test_the_first_of_equal_texts_and_days_is_given_back():
    same = alike()
    numbers = [118, 118]  # two texts, as a database hands them out
    first, again = (f"{number} Dry Hollow Lane" for number in numbers)
    assert first is not again
    assert same(first) is first
    assert same(again) is first
    assert same(date(2026, 10, 14)) is same(date(2026, 10, 14))


def test_values_of_other_kinds_are_not_mixed_up():
    same = alike()
    values = (1, True, 1.0, None, date(2026, 1, 1), datetime(2026, 1, 1), "1")
    assert [type(same(value)) for value in values] == [type(value) for value in values]
