"""A list in columns is the list."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.errors import RequestError
from generator.rotation import Item, ItemTable

ITEMS = st.lists(
    st.builds(
        Item,
        st.text(min_size=1, max_size=3),
        st.integers(1, 9),
        st.none() | st.integers(0, 11),
        st.integers(0, 9),
        st.none() | st.integers(1, 9),
        st.none() | st.integers(40, 99),
        st.booleans(),
        st.text(max_size=3),
    ),
    max_size=6,
)


@given(ITEMS, st.data())
@settings(settings.get_profile("rotation"))
def test_a_table_gives_back_the_items_it_was_made_of(items, data):
    table = ItemTable.of(items)
    assert (list(table), len(table), bool(table)) == (items, len(items), bool(items))
    assert ItemTable.of(table) is table
    assert table.checked() is table
    assert [type(one) for one in table] == [Item] * len(items)
    assert [(table[place], table.tie(place)) for place in range(len(table))] == [
        (one, one.tie) for one in items
    ]
    assert list(table[1:4]) == items[1:4]
    stay = data.draw(st.lists(st.booleans(), min_size=len(items), max_size=len(items)))
    assert list(table.only(stay)) == [one for one, stays in zip(items, stay, strict=True) if stays]


@pytest.mark.parametrize(
    ("column", "value", "told"),
    [("minutes", 0, "0 minutes"), ("keys", 12, "key position 12"), ("wishes", 0, "every 0 days")],
)
def test_the_item_with_an_impossible_number_is_named(column, value, told):
    good = ItemTable.of([Item("good"), Item("bad")])
    columns = {name: getattr(good, name) for name in ItemTable.__dataclass_fields__}
    with pytest.raises(RequestError, match=f'"bad".*{told}'):
        ItemTable(**{**columns, column: (getattr(good, column)[0], value)}).checked()
