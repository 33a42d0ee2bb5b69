"""A progress bar around work that is done one by one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sized
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from rich.console import Console

Item = TypeVar("Item")


def watched(
    title: str, console: Console, total: int | None = None
) -> Callable[[Iterable[Item]], Iterator[Item]]:
    """Passes items on and shows how many are done; nothing is drawn where no terminal is.

    total: how many there are, where the items themselves do not say it.
    """

    def passing(items: Iterable[Item]) -> Iterator[Item]:
        if not console.is_terminal:
            yield from items
            return
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
        with Progress(*columns, console=console, transient=True) as progress:
            number = len(items) if isinstance(items, Sized) else total
            task = progress.add_task(title, total=number)
            for item in items:
                yield item
                progress.advance(task)

    return passing
