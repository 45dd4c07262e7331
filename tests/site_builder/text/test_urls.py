"""A word becomes an address that every disk takes and that stays the same."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.storage.folder_layout import RESERVED_NAMES
from site_builder.text.urls import group_path, slug

LONGEST_FILE_NAME = 255
"""Bytes. Source: NAME_MAX of Linux, and what APFS and NTFS take in letters."""


@pytest.mark.parametrize("letter", ["a", "é", "毛", "𐌰", "𠀀"])
def test_a_long_word_of_any_script_is_a_name_that_a_disk_takes(letter, tmp_path):
    path = tmp_path / group_path("blocks", slug(letter * 300)).removeprefix("blocks/")
    path.touch()
    assert len(path.name.encode()) <= LONGEST_FILE_NAME


def test_an_address_is_cut_between_letters():
    assert slug("𐌰" * 300) == "𐌰" * 50
    assert slug("a" * 300) == "a" * 80


@pytest.mark.parametrize("word", ["Con", "NUL", "aux", "Com1", "LPT9"])
def test_a_name_that_some_systems_keep_for_themselves_gets_a_number(word):
    assert slug(word) == f"{word.lower()}-1"


@given(st.text(max_size=400))
def test_every_word_is_one_part_of_an_address(word):
    address = slug(word)
    assert address and len(f"{address}.html".encode()) <= LONGEST_FILE_NAME
    assert address not in RESERVED_NAMES
    assert not set(address) & set('/\\:*?"<>|. \0\n')
    assert address == address.strip("-")
