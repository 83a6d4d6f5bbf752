"""Finding the workshop, and its folders, without the site's generator."""

from __future__ import annotations

import pytest

from buildlog.place import PlaceError, find_place


def write_settings(folder, text):
    """Write a mkdocs.yml."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "mkdocs.yml").write_text(text, encoding="utf-8")
    return folder


def test_the_usual_folders(tmp_path):
    """Without a word about them, records are in docs, pictures in .buildlog, and the site in site."""
    place = find_place(write_settings(tmp_path, "site_name: A\nplugins: [buildlog]\n"))

    assert place.root == tmp_path
    assert place.content == tmp_path / "docs"
    assert place.store == tmp_path / ".buildlog" / "pictures"
    assert place.site == tmp_path / "site"


@pytest.mark.parametrize(
    "plugins",
    [
        pytest.param("plugins:\n  - search\n  - buildlog:\n      content: records\n      store: kept\n", id="list"),
        pytest.param("plugins:\n  search: {}\n  buildlog:\n    content: records\n    store: kept\n", id="mapping"),
    ],
)
def test_folders_that_are_named(tmp_path, plugins):
    """The plugin's own options come before the generator's."""
    place = find_place(write_settings(tmp_path, f"docs_dir: content\nsite_dir: public\n{plugins}"))

    assert place.content == tmp_path / "records"
    assert place.store == tmp_path / "kept"
    assert place.site == tmp_path / "public"


def test_settings_with_tags_are_read(tmp_path):
    """The generator's own tags in its settings do not stand in the way, and nothing of them is run."""
    text = "docs_dir: content\nsite_dir: !ENV [SITE, site]\nx: !!python/name:os.system\n"

    place = find_place(write_settings(tmp_path, text))

    assert place.content == tmp_path / "content"
    assert place.site == tmp_path / "site"


def test_the_settings_file_itself_may_be_named(tmp_path):
    """The path of mkdocs.yml does as well as its folder's."""
    write_settings(tmp_path, "docs_dir: content\n")

    assert find_place(tmp_path / "mkdocs.yml").root == tmp_path


def test_folders_above_are_searched(tmp_path, monkeypatch):
    """From deep inside a workshop its top is found."""
    write_settings(tmp_path, "docs_dir: content\n")
    (tmp_path / "content" / "builds").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "content" / "builds")

    assert find_place().root == tmp_path


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param("a: [", "mkdocs.yml:1: this is not YAML", id="broken"),
        pytest.param("a: 1\nb: 'x\n", "this is not YAML", id="unclosed"),
    ],
)
def test_settings_that_cannot_be_read(tmp_path, text, said):
    """Broken settings are said in words, with the line."""
    with pytest.raises(PlaceError) as caught:
        find_place(write_settings(tmp_path, text))

    assert said in str(caught.value)


def test_settings_that_are_no_text(tmp_path):
    """Settings in another encoding are said in words."""
    (tmp_path / "mkdocs.yml").write_bytes(b"site_name: \xff\xfe")

    with pytest.raises(PlaceError, match="is not UTF-8 text"):
        find_place(tmp_path)


def test_a_folder_that_is_no_workshop(tmp_path):
    """A folder without settings is refused; an empty one could become a workshop."""
    (tmp_path / "empty").mkdir()

    with pytest.raises(PlaceError, match="Begin one there"):
        find_place(tmp_path / "empty")
    with pytest.raises(PlaceError, match="Give the folder that has one"):
        find_place(tmp_path)
    with pytest.raises(PlaceError, match="does not exist"):
        find_place(tmp_path / "nowhere")
