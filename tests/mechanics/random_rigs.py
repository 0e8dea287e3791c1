"""Random tackles in one-line notation, most of them nonsense: the solver must answer or refuse each by code."""

import random


def random_notation(rng: random.Random) -> str:
    """Return one random rig: up to two floating blocks, up to three lines, up to three contacts on each."""
    floating = rng.choice([[], ["M"], ["M", "N"]])
    names = ["X", *floating, "O"]
    drum = rng.choice(["X", "O", "beyond"])
    lines = [_line(rng, names, [f"{drum}.drum"])]
    for _ in range(rng.randint(0, len(floating) + 1)):
        lines.append(_line(rng, names, [rng.choice(names)]))
    order = ["X", *rng.sample(floating, len(floating)), "O"] + (["beyond"] if drum == "beyond" else [])
    used = {token.split(".")[0] for line in lines for token in line}
    order = [name for name in order if name in used]
    marked, seen = [], set()
    for line in lines:
        out = []
        for token in line:
            body = token.split(".")[0]
            mark = "!" if body == "O" and "O" not in seen else "~" if body in floating else ""
            seen.add(body)
            out.append(mark + token)
        marked.append(" > ".join(out))
    return " ; ".join(marked) + " | order " + " ".join(order)


def _line(rng: random.Random, names: list[str], path: list[str]) -> list[str]:
    for _ in range(rng.randint(1, 4)):
        here = path[-1].split(".")[0]
        path.append(rng.choice([name for name in names if name != here]))
    return path
