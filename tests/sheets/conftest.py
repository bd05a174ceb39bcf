"""Sheets are printed in the tests' own process, where WeasyPrint is not alone as it is in the print
process."""

from collections.abc import Iterator

import pytest
from PIL import ImageFile


@pytest.fixture(scope="module", autouse=True)
def torn_pictures_stay_torn() -> Iterator[None]:
    """WeasyPrint tells Pillow to take torn pictures for whole ones; what is tried later in this
    process must not."""
    yield
    ImageFile.LOAD_TRUNCATED_IMAGES = False
