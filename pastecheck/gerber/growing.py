"""A column that grows at its end, without being copied each time."""

from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

Value = TypeVar("Value", bound="np.generic[Any]")


class Growing(Generic[Value]):
    """Values in a store that is doubled when it is full; adding k values takes time for k, on the average."""

    def __init__(self, values: NDArray[Value]) -> None:
        """Begin with some values, which are not changed."""
        self._store = values
        self._count = len(values)

    @property
    def values(self) -> NDArray[Value]:
        """All values so far, as a view: what is added later does not show in it."""
        return self._store[: self._count]

    def append(self, values: NDArray[Value]) -> None:
        """Add values at the end."""
        count = self._count + len(values)
        if count > len(self._store):
            larger = np.empty((max(count, 2 * len(self._store)), *values.shape[1:]), values.dtype)
            larger[: self._count] = self.values
            self._store = larger
        self._store[self._count : count] = values
        self._count = count
