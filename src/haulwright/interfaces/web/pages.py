"""The first page and the way in: plain HTML, no scripts, nothing fetched from anywhere."""

from __future__ import annotations

import html
from collections.abc import Iterable, Mapping
from typing import Any

from haulwright.notices import Code
from haulwright.publishing.look import PAPER, STACK_TEXT, STACK_TITLE
from haulwright.version import __version__

CAUTIONS = (
    Code.ESTIMATE,
    Code.FRICTION_NO_EXCUSE,
    Code.NO_STANDING,
    Code.DEFER,
    Code.TESTED_ONLY,
    Code.NO_PEAKS,
)
STYLE = f"""
:root {{ {PAPER.css()} }}
body {{ margin: 0 auto; max-width: 46rem; padding: 16px; background: var(--paper); color: var(--ink);
  font: 1.0625rem/1.4 {STACK_TEXT}; }}
h1 {{ font: 600 2.125rem/1.1 {STACK_TITLE}; border-bottom: 2px solid var(--ink); padding-bottom: 8px; }}
h2 {{ font: 600 1.75rem/1.1 {STACK_TITLE}; margin: 32px 0 8px; }}
li {{ margin: 8px 0; }}
code {{ font: inherit; font-weight: 600; overflow-wrap: anywhere; }}
a, button, input {{ font: inherit; color: var(--pencil); min-height: 48px; }}
a {{ text-decoration-style: dotted; }}
button, input {{ border: 1.5px solid var(--pencil); background: none; padding: 0 16px; border-radius: 0; }}
input {{ max-width: 100%; box-sizing: border-box; }}
.second {{ color: var(--ink-2); font-size: 0.9375rem; }}
"""


def _page(title: str, body: str) -> str:
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<link rel="icon" href="data:,">'  # or a browser asks for one
        f"<title>{html.escape(title)}</title><style>{STYLE}</style></head><body><main>{body}</main></body></html>"
    )


def first_page(openapi: Mapping[str, Any], campaigns: Iterable[str]) -> str:
    """Return the first page: what this is, the cautions, every route.

    Parameters
    ----------
    openapi : mapping
        The description of the interface.
    campaigns : iterable of str
        Names of those the server was started with.
    """
    cautions = "".join(f"<li>{html.escape(code.notice().message)}</li>" for code in CAUTIONS)
    known = ", ".join(f"<code>{html.escape(name)}</code>" for name in campaigns)
    routes = "".join(_route(path, ways) for path, ways in openapi["paths"].items())
    return _page(
        "Haulwright",
        f"<h1>Haulwright</h1><p>Measure, model, plan and publish winch recovery, on this machine. "
        f'<span class="second">Version {__version__}.</span></p>'
        "<p>The pages to work with are not there yet: this one stands in their place, and the commands do the whole "
        "job. The same verbs answer over HTTP below, with the same records.</p>"
        f"<h2>Before anything else</h2><ul>{cautions}</ul>"
        f"<h2>Campaigns</h2><p>{known or 'None. Start with <code>haulwright serve --campaign DIR</code>.'}</p>"
        f'<h2>Routes</h2><p><a href="/api/openapi.json">openapi.json</a> has every key, with examples.</p>'
        f"<ul>{routes}</ul>",
    )


def _route(path: str, ways: Mapping[str, Any]) -> str:
    return "".join(
        f"<li><code>{way.upper()} {html.escape(path)}</code><br>"
        f'<span class="second">{html.escape(str(one.get("summary", "")))}</span></li>'
        for way, one in ways.items()
    )


def enter_page(code: str, said: str = "") -> str:
    """Return the page that exchanges a code for a session; opening it uses nothing up.

    Parameters
    ----------
    code : str
        As it stands in the address that was scanned.
    said : str
        Why the last one was not taken.
    """
    words = f"<p><strong>{html.escape(said)}</strong></p>" if said else ""
    return _page(
        "Haulwright: open on this device",
        f"<h1>Open on this device</h1>{words}"
        "<p>The code stands in the terminal the server runs in. It works once; the next one is shown there.</p>"
        '<form method="post" action="/enter"><p><label>Code<br>'
        f'<input name="code" value="{html.escape(code, quote=True)}" maxlength="40" autocomplete="off"></label></p>'
        "<p><button>Open</button></p></form>",
    )
