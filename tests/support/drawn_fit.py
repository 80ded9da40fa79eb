"""Cut, wear and filling read back from a drawing: how far, how high, how alike, how many."""

from __future__ import annotations

from drawn_geometry import at, box, having, points, ruler_scale, text_of, tile_colour


def filling(svg):
    """By counts alone: threads that begin nowhere, knots without a quill, quills."""
    if having(svg, "fibre"):
        return "synthetic"
    clusters, quills = len(having(svg, "cluster")), len(having(svg, "quill"))
    share = clusters / (clusters + quills)
    if share >= 0.8:
        return "down_high"
    return "feather" if share <= 0.3 else "down_half"


def risen(svg):
    """Height of the pressed chamber against the one left alone, from the line of its stitches."""
    alone, pressed = (points(having(svg, "chamber", one)[0]) for one in ("alone", "pressed"))
    return (pressed[0][1] - box(pressed)[1]) / (alone[0][1] - box(alone)[1])


def filled_share(svg):
    """How much of the length of its channels something lies in."""
    channels = having(svg, "channel")
    spans = {at(one, "y")[0]: at(one, "x", "width") for one in channels}
    boxes = [box(points(one)) for name in ("clump", "even") for one in having(svg, name)]
    covered = total = 0.0
    for y, (left, wide) in spans.items():
        parts = sorted((a, c) for a, b, c, d in boxes if y <= (b + d) / 2 <= y + 34)
        reach = left
        for start, end in parts:
            covered += max(min(end, left + wide) - max(start, reach), 0.0)
            reach = max(reach, end)
        total += wide
    return covered / total


def loft(svg):
    if filled_share(svg) < 0.8:
        return "lumps"
    part = risen(svg)
    return "flat" if part < 0.58 else "rises" if part < 0.88 else "full"


def underarm(svg):
    """Where the mark is seen, and whether it is hard."""
    seen = {side for side in ("outside", "inside") if having(svg, "on", side)}
    if not seen:
        return "clean"
    if seen == {"inside"}:
        return "trace"
    return "stiff" if having(svg, "crease") else "shadow"


def print_state(svg):
    plate = having(svg, "plate")[0]
    x, y, wide, high = at(plate, "x", "y", "width", "height")
    for one in having(svg, "bare"):
        left, top, right, low = box(points(one))
        assert x - 8 < left < right < x + wide + 8 and y - 8 < top < low < y + high + 8
    if having(svg, "bare"):
        return "flaking"
    if having(svg, "crack"):
        return "cracked"
    return "worn_soft" if having(svg, "through") else "fresh"


def shoulder_drop(svg):
    """How far the seam ends beyond the bone of the shoulder; below 0 inside it."""
    (bone,) = having(svg, "bone")
    x = points(bone)[0][0]
    return max(points(one)[0][0] for one in having(svg, "armhole")) - x


def cut(svg):
    drop = shoulder_drop(svg)
    return "close" if drop < 1 else "usual" if drop < 10 else "roomy"


def sleeve(svg):
    """Drag lines, or stitches that keep to one ring round the armhole and stitches that lean."""
    if having(svg, "drag"):
        return "strained"
    left, top, right, low = box(points(having(svg, "lining")[0]))
    x, y, wide, high = (left + right) / 2, (top + low) / 2, (right - left) / 2, (low - top) / 2
    leans = []
    for one in having(svg, "lining-stitch"):
        a, b, c, d = at(one, "x1", "y1", "x2", "y2")
        rings = [
            (((p - x) / wide) ** 2 + ((q - y) / high) ** 2) ** 0.5 for p, q in ((a, b), (c, d))
        ]
        leans.append(abs(rings[1] - rings[0]))
    return "hand_set" if max(leans) > 0.03 else "machine_clean"


def bodice(svg):
    cloth = points(having(svg, "cloth")[0])
    if having(svg, "channel") and len(having(svg, "ribbon")) == 2:
        return "boned"
    if having(svg, "gather"):
        return "elastic"
    if having(svg, "long-seam"):
        return "seamed"
    if darts := having(svg, "dart"):
        for one in darts:
            a, tip, b = points(one)
            assert abs((a[0] + b[0]) / 2 - tip[0]) < 40 and a != b, "a wedge that ends in a point"
        return "darts"
    waist = [x for x, y in cloth if 150 < y < 200]
    bust = [x for x, y in cloth if 84 < y < 104]
    assert max(waist) - min(waist) > max(bust) - min(bust), "it does not go in at the waist"
    return "none"


def skirt_lining(svg):
    """How far it goes, how wide it is, and whether it is caught at the sides."""
    if not (found := having(svg, "lining")):
        return "none"
    skirt = box(points(having(svg, "skirt")[0]))
    left, _, right, low = box(points(found[0]))
    down = (low - skirt[1]) / (skirt[3] - skirt[1])
    middle = (skirt[0] + skirt[2]) / 2
    if abs(right - middle) < 2:
        assert 0.55 < down < 0.75
        return "to_knee"
    if having(svg, "caught"):
        assert down < 0.6
        return "part"
    assert down > 0.85 and left > skirt[0] + 4, "it hangs free"
    return "full"


def unlike_sides(svg):
    """How much lower one side of the hem hangs than the other, at its worst."""
    run = points(having(svg, "skirt")[0])[:49]
    left, right = run[:24], run[25:][::-1]
    return max(abs(a[1] - b[1]) for a, b in zip(left, right, strict=True))


def hem_line(svg):
    if unlike_sides(svg) > 4:
        return "dropped"
    return "soiled" if having(svg, "soil") else "even"


def shoe(outline):
    """Side by where the tip lies from the heel, and length."""
    heel, tip = max(outline, key=lambda p: p[1]), min(outline, key=lambda p: p[1])
    return tip[0] > heel[0], heel[1] - tip[1]


def pair(svg):
    shoes = having(svg, "shoe")
    (one, long), (two, short) = (shoe(points(each)) for each in shoes)
    numbers = text_of(svg, "stamped")
    if one == two:
        return "single"
    if abs(long - short) > 2:
        assert numbers[0] != numbers[1]
        return "sizes_differ"
    assert numbers[0] == numbers[1]
    return "matched" if shoes[0].get("fill") == shoes[1].get("fill") else "shade_differs"


def unlike_in_length(svg):
    long, short = (shoe(points(one))[1] for one in having(svg, "shoe"))
    return -abs(long - short)


def vamp(svg):
    for name, told in (("split", "split"), ("crack", "cracked"), ("deep", "creased")):
        if having(svg, name):
            return told
    return "soft_folds" if having(svg, "soft") else "no_folds"


def leather(svg):
    for name, told in (("bare", "peeling"), ("crack", "cracked"), ("came-off", "dry")):
        if having(svg, name):
            return told
    assert having(svg, "gloss")
    return "sound"


def lining_wear(svg):
    slits = len(having(svg, "slit"))
    if slits:
        return "one_tear" if slits == 1 else "shredded"
    return "worn" if having(svg, "worn") else "sound"


PLATING = {"GP", "HGE", "RGP", "GF", "GEP", "PLATED", "PLATE"}
SILVER_PARTS = {800, 830, 835, 925}
"""Of a thousand, as silver is marked (ISO 8654 and 9202, from memory)."""

CARATS = (8, 9, 14, 18)
"""Gold by carat: of twenty-four, so in a thousand by arithmetic."""


def mark(svg):
    """What the stamped letters and figures say, read by rules of their own."""
    words = "".join(text_of(svg, "mark")).split()
    if PLATING & set(words):
        return "plated"
    if any(one.startswith("STER") for one in words):
        return "silver"
    numbers = {int(one) for one in words if one.isdigit()}
    # 14 carats are 583 in a thousand and are struck as 585: two parts of grace.
    gold = {round(1000 * one / 24) + more for one in CARATS for more in range(3)}
    carats = {f"{one}{sign}" for one in CARATS for sign in ("K", "CT", "KT")}
    if any("PT" in one for one in words) or numbers & gold or carats & set(words):
        return "gold"
    return "silver" if numbers & SILVER_PARTS else "none"


def chest(svg):
    """Centimetres between the two pits by the drawn tape."""
    left, right = (at(one, "cx")[0] for one in having(svg, "pit"))
    unit, _ = ruler_scale(svg)
    return (right - left) / unit


def felt(svg):
    """How much of the loops the hairs have covered."""
    veil = at(having(svg, "veil")[0], "fill-opacity")[0]
    hairs = len(having(svg, "hair"))
    if veil < 0.1:
        assert hairs < 10
        return "none"
    assert hairs > 40
    return "slight" if veil < 0.35 else "partly" if veil < 0.7 else "board"


def corner(svg):
    """A cord that looks out, or how far the rubbed place is from the leather."""
    if having(svg, "cord"):
        return "through"
    if not having(svg, "rubbed"):
        return "clean"
    return "pale" if panel_apart(svg) > 0.14 else "dull"


def panel_apart(svg):
    """How far the rubbed place is from the leather."""
    return apart(having(svg, "rubbed")[0].get("fill"), having(svg, "panel")[0].get("fill"))


def apart(first, second):
    """How far two colours lie from each other, each light by itself, 0 to 1."""
    pairs = [(int(first[k : k + 2], 16), int(second[k : k + 2], 16)) for k in (1, 3, 5)]
    return max(abs(a - b) for a, b in pairs) / 255


def faint(svg, named, tile, attribute="stroke"):
    """The nearer the colour to its ground, the higher."""
    found = having(svg, named)
    if not found:
        return None
    return -apart(found[0].get(attribute), tile_colour(svg, tile))


def near_an_edge(svg):
    """How near a height is to where the answer changes; None where it is clumped."""
    if filled_share(svg) < 0.8:
        return None
    return -min(abs(risen(svg) - one) for one in (0.58, 0.88))


def widest(svg, named, axis=0):
    found = [box(points(one)) for one in having(svg, named)]
    return max(b[2 + axis] - b[axis] for b in found) if found else None
