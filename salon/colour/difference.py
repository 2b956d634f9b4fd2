"""How different two colours look: CIEDE2000, for one pair or for millions.

Leaves to others: where the colours come from (`lab`), what a number is called (`bands`), and which colours of a
head are compared with which (`matching`).

Source: Sharma G, Wu W, Dalal EN, "The CIEDE2000 color-difference formula: implementation notes, supplementary test
data, and mathematical observations", Color Research & Application 30(1):21-30 (2005), doi:10.1002/col.20070. The
paper's symbols and equation numbers are kept.

The paper works with hue angles. Here the mean hue is kept as a unit vector (cos h̄', sin h̄'): T then needs no cosine at
all, ΔH' = 2 √(C'_1 C'_2) sin(Δh'/2) follows from the cross product of the two hues, and one arctangent is left, for
the rotation term of the blues. Only hues that are almost opposite go by the paper's angles, because there the choice
between the two mean hues hangs on the last digit.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

PAIRS_AT_A_TIME = 16384  # the arrays of one block stay in a core's cache, and Python's part of the time is small
TWENTY_FIVE_TO_7 = 25.0**7
SMALLEST = 1e-300  # stands in for a zero divisor: what it divides is zero as well
NEARLY_OPPOSITE = 1e-3  # hues within about 3.6° of opposite go by the paper's angles
OPPOSITE_TOLERANCE_DEGREES = 1e-12  # pair 14 of the paper lies exactly at 180°: arctan2 alone may fall on either side

COS_30, SIN_30 = float(np.cos(np.radians(30))), float(np.sin(np.radians(30)))
COS_6, SIN_6 = float(np.cos(np.radians(6))), float(np.sin(np.radians(6)))
COS_63, SIN_63 = float(np.cos(np.radians(63))), float(np.sin(np.radians(63)))


def ciede2000(lab_1: ArrayLike, lab_2: ArrayLike) -> Array:
    """ΔE00 between colours, with k_L = k_C = k_H = 1.

    lab_1, lab_2: shapes (..., 3), L*, a*, b* of one and the same white; the leading axes broadcast, so that
    readings[:, None] against shades[None] gives every pair. Returns the broadcast shape without the last axis, zero or
    more; a pair that holds a NaN (a colour not measured) is NaN. Swapping the two colours changes no bit of the result.
    Raises ValueError if a last axis is not 3 long.
    >>> round(float(ciede2000([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485])), 4)
    2.0425
    """
    first, second = (np.asarray(lab, dtype=np.float64) for lab in (lab_1, lab_2))
    for lab in (first, second):
        if lab.ndim == 0 or lab.shape[-1] != 3:
            raise ValueError(f"a colour is L*, a*, b* along the last axis, got an array of shape {lab.shape}")
    flags: Any = [["readonly", "contig"]] * 6 + [["writeonly", "allocate"]]  # NumPy's stubs know one flat list only
    pairs = np.nditer(
        [*np.moveaxis(first, -1, 0), *np.moveaxis(second, -1, 0), None],
        flags=["external_loop", "buffered", "zerosize_ok"],
        op_flags=flags,
        op_dtypes=[np.float64] * 7,
        buffersize=PAIRS_AT_A_TIME,
    )
    with pairs:
        for L_1, a_1, b_1, L_2, a_2, b_2, difference in pairs:
            _fill(difference, L_1, a_1, b_1, L_2, a_2, b_2)
        found: Array = pairs.operands[6]
    return found


def _fill(difference: Array, L_1: Array, a_1: Array, b_1: Array, L_2: Array, a_2: Array, b_2: Array) -> None:
    """Write ΔE00 of the pairs into `difference`; all shapes (n,)."""
    C_bar = _chroma(a_1, b_1)  # eq. 2
    C_bar += _chroma(a_2, b_2)
    C_bar *= 0.5  # eq. 3
    G = _weight_of_chroma(C_bar)
    G *= -0.5
    G += 1.5  # 1 + G, eq. 4
    a_1p = a_1 * G  # eq. 5
    a_2p = a_2 * G
    C_1p = _chroma(a_1p, b_1)  # eq. 6
    C_2p = _chroma(a_2p, b_2)

    # ΔH' and the mean hue, from C'_1 C'_2 cos Δh' and C'_1 C'_2 sin Δh' instead of the angles of eq. 7, 10 and 14
    product = C_1p * C_2p
    together = a_1p * a_2p
    together += b_1 * b_2
    together += product  # C'_1 C'_2 (1 + cos Δh')
    opposite = np.flatnonzero(together <= NEARLY_OPPOSITE * product)
    np.maximum(together, SMALLEST, out=together)
    dH_p = a_1p * b_2
    dH_p -= a_2p * b_1
    dH_p *= np.sqrt(2.0 / together)  # eq. 11
    product *= together
    product *= 2.0
    length = np.sqrt(np.maximum(product, SMALLEST, out=product))
    cos_h = C_2p * a_1p  # the sum of both hues, each made as long as the other
    cos_h += C_1p * a_2p
    cos_h /= length
    sin_h = C_2p * b_1
    sin_h += C_1p * b_2
    sin_h /= length
    if opposite.size:
        hues = (values[opposite] for values in (a_1p, b_1, C_1p, a_2p, b_2, C_2p))
        dH_p[opposite], cos_h[opposite], sin_h[opposite] = _by_angles(*hues)

    dL_p = L_2 - L_1  # eq. 8
    dC_p = C_2p - C_1p  # eq. 9
    C_bar_p = C_1p
    C_bar_p += C_2p
    C_bar_p *= 0.5  # eq. 13
    L_bar = L_1 + L_2
    L_bar *= 0.5  # eq. 12
    L_bar -= 50.0
    L_bar *= L_bar
    S_L = L_bar / np.sqrt(L_bar + 20.0)
    S_L *= 0.015
    S_L += 1.0  # eq. 18
    S_C = 0.045 * C_bar_p
    S_C += 1.0  # eq. 19
    S_H = _hue_weight(cos_h, sin_h)
    S_H *= C_bar_p
    S_H *= 0.015
    S_H += 1.0  # eq. 20
    dL_p /= S_L
    dC_p /= S_C
    dH_p /= S_H
    rotated = _rotation(cos_h, sin_h, C_bar_p, dC_p, dH_p)
    dL_p *= dL_p
    dC_p *= dC_p
    dH_p *= dH_p
    dL_p += dC_p
    dL_p += dH_p
    dL_p += rotated
    np.sqrt(dL_p, out=difference)  # eq. 22


def _chroma(a: Array, b: Array) -> Array:
    chroma = a * a
    chroma += b * b
    return np.sqrt(chroma, out=chroma)


def _weight_of_chroma(C: Array) -> Array:
    """√(C⁷ / (C⁷ + 25⁷)), used by eq. 4 and eq. 17."""
    C_7 = C * C
    C_7 *= C
    C_7 *= C_7
    C_7 *= C
    C_7 /= C_7 + TWENTY_FIVE_TO_7
    return np.sqrt(C_7, out=C_7)


def _hue_weight(cos_h: Array, sin_h: Array) -> Array:
    """T of eq. 15; the cosines of 2h̄', 3h̄' and 4h̄' come from those of h̄' by the double- and triple-angle rules."""
    cos_2h = cos_h * cos_h
    cos_2h *= 2.0
    cos_2h -= 1.0
    sin_2h = sin_h * cos_h
    sin_2h *= 2.0
    T = 0.24 * cos_2h
    T += 1.0
    # − 0.17 cos(h̄' − 30°) + 0.32 cos(3h̄' + 6°), with cos 3h = cos h (2 cos 2h − 1) and sin 3h = sin h (2 cos 2h + 1)
    of_cos = (0.64 * COS_6) * cos_2h
    of_cos -= 0.32 * COS_6 + 0.17 * COS_30
    of_cos *= cos_h
    T += of_cos
    of_sin = (0.64 * SIN_6) * cos_2h
    of_sin += 0.32 * SIN_6 + 0.17 * SIN_30
    of_sin *= sin_h
    T -= of_sin
    # − 0.20 cos(4h̄' − 63°), with cos 4h = 2 cos² 2h − 1 and sin 4h = 2 sin 2h cos 2h
    sin_2h *= cos_2h
    sin_2h *= 0.40 * SIN_63
    T -= sin_2h
    cos_2h *= cos_2h
    cos_2h *= 0.40 * COS_63
    cos_2h -= 0.20 * COS_63
    T -= cos_2h
    return T


def _rotation(cos_h: Array, sin_h: Array, C_bar_p: Array, dC: Array, dH: Array) -> Array | float:
    """R_T ΔC'/S_C ΔH'/S_H of eq. 22. For mean hues from 0° to 119° exp(−((h̄' − 275°)/25°)²) is under 2 × 10⁻¹⁷, less
    than the last digit of what it is added to, so a block that holds no other hue (most hair) is let off."""
    if not ((sin_h < 0.0) | (cos_h < -0.484)).any():  # cos 119° = −0.4848
        return 0.0
    sin_h += 0.0  # −0.0 becomes 0.0, or a mean hue of 0° would read 360°
    x = np.arctan2(-sin_h, -cos_h)  # h̄' − 180°, because h̄' runs from 0° to 360° and not from −180° to 180°
    x *= 180.0 / np.pi
    x -= 95.0
    x /= 25.0
    x *= x
    np.negative(x, out=x)
    np.exp(x, out=x)
    x *= np.radians(60.0)  # 2 Δθ, eq. 16
    np.sin(x, out=x)
    x *= _weight_of_chroma(C_bar_p)
    x *= -2.0  # R_T, eq. 17 and 21
    x *= dC
    x *= dH
    return x


def _by_angles(
    a_1p: Array, b_1: Array, C_1p: Array, a_2p: Array, b_2: Array, C_2p: Array
) -> tuple[Array, Array, Array]:
    """ΔH', cos h̄' and sin h̄' by the paper's angles, for hues almost opposite and for colours without chroma."""
    h_1 = np.degrees(np.arctan2(b_1, a_1p)) % 360.0  # eq. 7
    h_2 = np.degrees(np.arctan2(b_2, a_2p)) % 360.0
    dh = h_2 - h_1
    within = np.abs(dh) <= 180.0 + OPPOSITE_TOLERANCE_DEGREES
    dh = np.where(within, dh, dh - np.copysign(360.0, dh))  # eq. 10
    h_bar = np.radians((h_1 + h_2) / 2.0 + np.where(within, 0.0, 180.0))  # eq. 14; ± 180° is one direction
    dH_p = 2.0 * np.sqrt(C_1p * C_2p) * np.sin(np.radians(dh) / 2.0)  # eq. 11; 0 where a chroma is 0
    return dH_p, np.cos(h_bar), np.sin(h_bar)
