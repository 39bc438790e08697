"""The quick packing is the library's own: if you nest the same parts again, they lie where they lay."""

import random

import pytest
import rectpack

from jigs.cutting import packing

PLAIN = {
    packing.Bssf: rectpack.MaxRectsBssf,
    packing.Baf: rectpack.MaxRectsBaf,
    packing.Bl: rectpack.MaxRectsBl,
    packing.Blsf: rectpack.MaxRectsBlsf,
}
ROOM = 600_000, 900_000


def boxes(seed, count):
    """Boxes in whole micrometres, some of them alike, so that there are ties."""
    chance = random.Random(seed)
    grid = chance.choice([1, 1000, 20_000])
    return [
        (chance.randint(20_000, 200_000) // grid * grid, chance.randint(20_000, 90_000) // grid * grid or grid)
        for _ in range(count)
    ]


def plain(sizes, choose, way, sort):
    packer = rectpack.newPacker(rectpack.PackingMode.Offline, choose, PLAIN[way], sort, rotation=True)
    packer.add_bin(*ROOM, count=float("inf"))
    for n, size in enumerate(sizes):
        packer.add_rect(*size, n)
    packer.pack()
    return packer.rect_list()


@pytest.mark.parametrize("seed", range(4))
def test_every_box_lies_where_the_library_lays_it(seed):
    sizes = boxes(seed, 50)
    for way in (packing.Bssf, packing.Baf):
        expected = plain(sizes, rectpack.PackingBin.Global, way, rectpack.SORT_AREA)
        assert packing.best_of_all(sizes, ROOM, way) == expected
    for way in PLAIN:
        expected = plain(sizes, rectpack.PackingBin.BFF, way, rectpack.SORT_PERI)
        assert packing.first_that_fits(sizes, ROOM, way, rectpack.SORT_PERI) == expected
