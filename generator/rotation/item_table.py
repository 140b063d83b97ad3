"""A large list of exercises in columns, of which only the few that matter on a day become records."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import compress
from typing import overload

from generator.rotation.records import Item, number_problem, tie_of


@dataclass(frozen=True, slots=True)
class ItemTable(Sequence[Item]):
    """A list of exercises. An item is made when it is asked for; see `Item` for the columns."""

    ids: Sequence[str]
    minutes: Sequence[int]
    keys: Sequence[int | None]
    catalogues: Sequence[int]
    wishes: Sequence[int | None]
    goals: Sequence[int | None]
    heavy: Sequence[bool]
    names: Sequence[str]
    warm: Sequence[bool]
    ranks: Sequence[int]

    @classmethod
    def of(cls, items: Sequence[Item]) -> "ItemTable":
        """A list in columns; one that is in columns already stays what it is.

        >>> table = ItemTable.of([Item("G major", key=1), Item("D major", key=2)])
        >>> table.ids, table.keys
        (('G major', 'D major'), (1, 2))
        """
        if isinstance(items, ItemTable):
            return items
        return cls(*zip(*items, strict=True)) if items else cls(*([()] * len(Item._fields)))

    def checked(self) -> "ItemTable":
        """The same, if its numbers can be.

        Raises:
            RequestError: an impossible number.

        >>> table = ItemTable.of([Item("G major", key=1), Item("D major", key=2)])
        >>> table.checked() is table
        True
        """
        if any(
            number_problem(*numbers)
            for numbers in set(zip(self.minutes, self.keys, self.wishes, strict=True))
        ):
            for item in self:
                Item(*item)  # says which it is
        return self

    def only(self, stay: Sequence[bool]) -> "ItemTable":
        """Those of the list that stay; a truth for each item.

        >>> table = ItemTable.of([Item("G major", key=1), Item("D major", key=2)])
        >>> table.only([False, True]).ids
        ('D major',)
        """
        if all(stay):
            return self
        columns = (getattr(self, name) for name in self.__dataclass_fields__)
        return ItemTable(*(tuple(compress(column, stay)) for column in columns))

    def tie(self, place: int) -> tuple[int, int, str]:
        """`Item.tie` of an item.

        >>> table = ItemTable.of([Item("G major", key=1), Item("D major", key=2)])
        >>> table.tie(1) == table[1].tie
        True
        """
        return tie_of(self.catalogues[place], self.keys[place], self.ids[place])

    def __len__(self) -> int:
        """How many there are."""
        return len(self.ids)

    @overload
    def __getitem__(self, place: int) -> Item: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[Item]: ...
    def __getitem__(self, place: int | slice) -> Item | Sequence[Item]:
        """One item, or some of them in columns."""
        columns = (getattr(self, name) for name in self.__dataclass_fields__)
        if isinstance(place, slice):
            return ItemTable(*(column[place] for column in columns))
        return Item._make(column[place] for column in columns)

    def __iter__(self) -> Iterator[Item]:
        """All items, in order."""
        columns = (getattr(self, name) for name in self.__dataclass_fields__)
        return map(partial(tuple.__new__, Item), zip(*columns, strict=True))
