"""What a page makes a reader's browser load."""

from pathlib import Path
from urllib.parse import unquote

from .chromium import ChromiumTab


def files_loaded(tab: ChromiumTab) -> list[str]:
    """Scripts and style sheets that the page loaded, as paths from the site's root."""
    loaded = (address.partition("?")[0] for address in tab.scripts_and_styles())
    return [unquote(one.removeprefix(tab.base)) for one in loaded if one.startswith(tab.base)]


def script_and_style_bytes(tab: ChromiumTab, site: Path) -> int:
    """Their size as files, without the search index (which grows with the words, not the code)."""
    counted = (path for path in files_loaded(tab) if not path.startswith("search/search_index"))
    return sum((site / path).stat().st_size for path in counted)
