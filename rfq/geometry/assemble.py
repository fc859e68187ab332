"""All measuring of one loaded shape, put together (child process only)."""

from __future__ import annotations

from OCP.TopAbs import TopAbs_ShapeEnum

from rfq.geometry import kernel
from rfq.geometry.bores import bores_of, find_rounds, inner_radii_of
from rfq.geometry.clamping import flat_pairs, turning_of
from rfq.geometry.faces import read_faces
from rfq.geometry.pmi import read_pmi
from rfq.geometry.pockets import find_pockets, thinnest_wall
from rfq.geometry.rays import Rays
from rfq.geometry.reach import access_of
from rfq.geometry.shape import SURFACE_KINDS, MeasuredShape, Surface
from rfq.geometry.vectors import length, rounded, subtract

MOST_RAYS = 2500
"""Bound on the rays of one kind; a ray takes about 0.1 ms."""


def assemble(loaded: kernel.Loaded, body: int) -> MeasuredShape:
    """Measure a body (0: everything) of a file; name and hash are filled in by the parent."""
    shape = kernel.pick(loaded, body)
    solids = len(kernel.parts_of(shape, TopAbs_ShapeEnum.TopAbs_SOLID))
    volume, centre = kernel.volume_mm3(shape)
    low, high = kernel.box(shape)
    size = subtract(high, low)
    diagonal = length(size)
    faces, open_edges = read_faces(shape)
    area = sum(face.area_mm2 for face in faces)
    rounds = find_rounds(faces)
    sight = Rays(shape, 4 * diagonal + 10)
    turning = turning_of(faces, area)
    turned = turning is not None and turning.round_outside and turning.share >= 0.6
    concave = [f.radius_mm for f in faces if f.kind == "cylinder" and f.concave]
    oriented = sorted(size, reverse=True)
    file_low, file_high = kernel.box(loaded.shape)
    smallest = kernel.oriented_box(shape)
    if smallest[0] * smallest[1] * smallest[2] < 0.999 * size[0] * size[1] * size[2]:
        oriented = list(smallest)
    return MeasuredShape(
        file="",
        sha256="",
        unit=loaded.unit,
        bodies=tuple(body_ for body_, _ in loaded.bodies),
        body=body,
        solids=solids,
        open_edges=open_edges,
        faces_lost=loaded.faces_lost,
        volume_mm3=round(volume, 4),
        volume_in_file_mm3=loaded.volume_in_file_mm3 if body == 0 else None,
        area_mm2=round(area, 4),
        centre_mm=rounded(centre),
        box_mm=rounded(size),
        box_low_mm=rounded(low),
        oriented_box_mm=rounded((oriented[0], oriented[1], oriented[2])),
        file_box_mm=rounded(subtract(file_high, file_low)),
        surfaces=tuple(
            Surface(kind, len(areas), round(sum(areas), 4))
            for kind in SURFACE_KINDS
            if (areas := [f.area_mm2 for f in faces if f.kind == kind])
        ),
        bores=bores_of(rounds),
        inner_radii=inner_radii_of(rounds, faces, sight),
        smallest_concave_radius_mm=round(min(concave), 6) if concave else None,
        concave_cylinders=len(concave),
        pockets=find_pockets(faces, rounds, sight),
        thinnest_wall=thinnest_wall(faces, rounds, sight, MOST_RAYS),
        convex_edge_mm=round(
            sum(e.length_mm for f in faces for e in f.edges if e.turn == "convex") / 2, 3
        ),
        flat_pairs=flat_pairs(faces),
        turning=turning,
        access=access_of(faces, rounds, turning, turned, sight, MOST_RAYS),
        pmi=read_pmi(loaded.document),
        views=(),  # drawn by a child of their own
    )
