"""The way in for a device of the local network: plain HTML, no scripts, nothing fetched from anywhere."""

from __future__ import annotations

import html

from haulwright.publishing.look import PAPER, STACK_TEXT, STACK_TITLE

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
