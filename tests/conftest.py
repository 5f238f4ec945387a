"""The helper modules beside this file explain a failed assert as the tests themselves do."""

import pytest

pytest.register_assert_rewrite(
    "tests.specimens",
    "tests.demo_documents",
    "tests.drawings",
    "tests.lays",
    "tests.picture_files",
    "tests.sizes_page",
)
