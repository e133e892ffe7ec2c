"""The README shows what the command really prints, and its links lead somewhere."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_readme_prints_what_the_demonstration_prints() -> None:
    """The block in the README is the demonstration's output, letter for letter (renew it with scripts/readme_output.py)."""
    spec = importlib.util.spec_from_file_location("readme_output", ROOT / "scripts" / "readme_output.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)

    assert module.between(README) == module.demo_output()


def test_links_of_the_readme_and_the_manual_lead_somewhere() -> None:
    """Every relative link in README, CONTRIBUTING and the manual points at a file that is there."""
    pages = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").glob("*.md")]
    for page in pages:
        for link in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            if "://" not in link:
                assert (page.parent / link).exists(), f"{page.name}: {link}"
