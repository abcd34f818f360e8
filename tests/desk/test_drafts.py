"""Drawings that wait: found again after the desk ended, each under its own piece, never in the place."""

from quietacre.demo.write import write_sample

STEPS = {
    "steps": {"done": [], "now": {"label": "a corner moved", "shape": []}, "undone": []}
}


def test_a_draft_outlives_the_desk_and_is_forgotten_when_told(desk, tmp_path):
    folder = tmp_path / "sample"
    write_sample(folder)
    before = sorted(path.name for path in folder.rglob("*"))
    assert desk.call("/api/draft?area=x")[0] == 404
    desk.call("/api/open", {"folder": str(folder)})
    odd = "../../Old orchard\n"
    for area in ("Old orchard", odd, ""):
        draft = {**STEPS, "was": area}
        assert desk.call("/api/draft", {"area": area, "draft": draft})[0] == 200
    from urllib.parse import quote

    for area in ("Old orchard", odd, ""):
        status, said = desk.call(f"/api/draft?area={quote(area)}")
        assert (status, said["draft"]["was"]) == (200, area)
    assert desk.call("/api/draft?area=Dove")[1] == {"draft": None}
    desk.call("/api/draft", {"area": odd, "draft": None})
    desk.call("/api/draft", {"area": odd, "draft": None})
    assert desk.call(f"/api/draft?area={quote(odd)}")[1] == {"draft": None}
    assert desk.call("/api/draft?area=Old%20orchard")[1]["draft"] is not None
    assert sorted(path.name for path in folder.rglob("*")) == before
    (spoiled,) = [
        path for path in (tmp_path / "state").rglob("*.json")
        if path.parent.name == "drafts" and b"Old orchard" in path.read_bytes()
    ]  # fmt: skip
    spoiled.write_text("{")
    assert desk.call("/api/draft?area=Old%20orchard")[1] == {"draft": None}
