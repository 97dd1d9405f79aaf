"""What the pages may do, in the words of W3C's Content Security Policy Level 3: nothing is ever fetched from anywhere."""

from __future__ import annotations

__all__ = ["WORKER_POLICY", "page_policy"]

#: The service worker fetches the folder's own files, to keep them for when there is no network.
WORKER_POLICY = "default-src 'none'; script-src 'self'; connect-src 'self'"


def page_policy(script_hash: str) -> str:
    """The policy of the page and its worker.

    Parameters
    ----------
    script_hash : str
        Of the script in a board's page (`tracer.page.html.script_hash`): the page shows boards' pages in a frame, which
        inherits this policy.
    """
    return "; ".join(
        (
            "default-src 'none'",
            # The runtime is WebAssembly; no text is ever run as a script.
            f"script-src 'self' 'wasm-unsafe-eval' '{script_hash}'",
            "worker-src 'self' blob:",
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "frame-src 'self' blob:",
            "manifest-src 'self'",
            "connect-src 'none'",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )
