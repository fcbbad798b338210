"""A second, independent solution of the box with unequal walls, for the tests only.

The field is split into the free-field wave of the source and a smooth rest, which solves the Helmholtz equation with
known data on the walls. The rest is expanded in products of Legendre polynomials (Galerkin's method); the tensor
system is solved by an eigenvalue decomposition of each axis. It shares no root finder, no closed form and no sum over
modes with the service.
"""

import numpy as np
from numpy.polynomial import legendre


class _Axis:
    """Stiffness, mass and wall terms of one axis in Legendre polynomials on 0..length."""

    def __init__(self, length_m, size, quadrature):
        nodes, weights = legendre.leggauss(quadrature)
        identity = np.eye(size)
        self.nodes_m = (nodes + 1) * length_m / 2
        self.weights_m = weights * length_m / 2
        self.values = legendre.legvander(nodes, size - 1).T
        slopes = np.array(
            [legendre.legval(nodes, legendre.legder(row)) if row[1:].any() else 0 * nodes for row in identity]
        )
        slopes *= 2 / length_m
        self.stiffness = (slopes * self.weights_m) @ slopes.T
        self.mass = (self.values * self.weights_m) @ self.values.T
        self.ends = [(-1.0) ** np.arange(size), np.ones(size)]
        self.length_m, self.size = length_m, size

    def at(self, position_m):
        return legendre.legvander(np.atleast_1d(2 * position_m / self.length_m - 1), self.size - 1)[0]

    def eigenpairs(self, wall_terms):
        matrix = self.stiffness + sum(
            term * np.outer(end, end) for term, end in zip(wall_terms, self.ends, strict=True)
        )
        values, vectors = np.linalg.eig(np.linalg.solve(self.mass, matrix))
        scale = np.sqrt(np.einsum("im,ij,jm->m", vectors, self.mass, vectors))
        return values, vectors / scale


def galerkin_pressure(*, dimensions_m, admittance_ratio, wavenumber_per_m, source_m, seat_m, size, quadrature=None):
    """Return p re the free-field magnitude at 1 m, at one wavenumber; admittances of the six walls as a flat list."""
    k = wavenumber_per_m
    axes = [_Axis(length, n, quadrature or n + 24) for length, n in zip(dimensions_m, size, strict=True)]
    pairs = [axis.eigenpairs([1j * k * b for b in admittance_ratio[2 * i : 2 * i + 2]]) for i, axis in enumerate(axes)]
    load = np.zeros(tuple(size), dtype=complex)
    for i in range(3):
        others = [j for j in range(3) if j != i]
        for side in (0, 1):
            point = [None, None, None]
            point[i] = np.full((1, 1), side * dimensions_m[i])
            point[others[0]] = axes[others[0]].nodes_m[:, None]
            point[others[1]] = axes[others[1]].nodes_m[None, :]
            away = [p - s for p, s in zip(point, source_m, strict=True)]
            r = np.sqrt(sum(a**2 for a in away))
            free = np.exp(-1j * k * r) / r
            outward = away[i] * (1 if side else -1) / r
            data = -(outward * -(1j * k + 1 / r) + 1j * k * admittance_ratio[2 * i + side]) * free
            first, second = (axes[j].values * axes[j].weights_m for j in others)
            face = first @ data @ second.T
            load += np.moveaxis(axes[i].ends[side][:, None, None] * face, 0, i)
    for i in range(3):
        load = np.moveaxis(np.tensordot(pairs[i][1].T, np.moveaxis(load, i, 0), axes=1), 0, i)
    total = pairs[0][0][:, None, None] + pairs[1][0][None, :, None] + pairs[2][0][None, None, :] - k**2
    load = load / total
    for i in range(3):
        load = np.tensordot(axes[i].at(seat_m[i]) @ pairs[i][1], load, axes=1)
    r = np.linalg.norm(np.subtract(seat_m, source_m))
    return complex(load) + np.exp(-1j * k * r) / r
