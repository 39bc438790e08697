"""Items in the order in which every format has them: layer by layer, from the bottom up."""

from collections.abc import Collection, Iterable, Mapping

from jigs.drawing.items import Item, Layer, Role, Style


def by_layer(
    drawn: Iterable[Item], styles: Mapping[Role, Style], always: Collection[Layer] = ()
) -> dict[Layer, list[Item]]:
    """The items of each layer, from the bottom up: of those that are used, and of those that are there ``always``."""
    found: dict[Layer, list[Item]] = {layer: [] for layer in Layer}
    for item in drawn:
        found[styles[item.role].layer].append(item)
    return {layer: items for layer, items in found.items() if items or layer in always}
