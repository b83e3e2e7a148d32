"""Pictures attached to a record: kept without a camera's notes, once, taken back by a later row only."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from shopdesk.domain.errors import NotFound, RuleBroken
from shopdesk.services.desk import Desk
from shopdesk.services.photos import (
    AttachPhoto,
    PhotoKept,
    PhotoKind,
    PhotoSubject,
    WithdrawPhoto,
    file_name,
    read_file,
)
from tests.documents.cameras import bomb, drawn, jpeg, read
from tests.services.floors import Floor
from tests.services.shopfloor import ask, document, run


def _attach(desk: Desk, record_id: int, content: bytes, **more: object) -> PhotoKept:
    values = {"kind": PhotoKind.FLUID, "name": "DCIM/100/IMG_0042.jpg", "note": "", **more}
    command = AttachPhoto(
        actor=desk.actor(),
        subject=PhotoSubject.RECORD,
        subject_id=record_id,
        content=content,
        **values,  # type: ignore[arg-type]
    )
    return desk.photos.attach(command)


def test_that_a_picture_is_kept_upright_small_and_without_its_place(floor: Floor) -> None:
    desk = floor.desk
    record_id = run(desk, document("us")).record_id
    kept = _attach(desk, record_id, jpeg(drawn(3200, 2400), orientation=6), note="as it came out")
    (row,) = desk.photos.of(PhotoSubject.RECORD, record_id)
    assert (row.photo_id, row.sha, row.name) == (kept.photo_id, kept.sha, "IMG_0042.jpg")
    assert (row.kind, row.note, row.width, row.height) == (PhotoKind.FLUID, "as it came out", 1200, 1600)
    content = desk.photos.picture(kept.photo_id)
    assert sha256(content).hexdigest() == kept.sha
    assert not read(content).getexif()
    assert ask(floor.url, "SELECT media, sha FROM stored_file WHERE media = 'image/jpeg'") == [
        ("image/jpeg", kept.sha)
    ]
    assert max(read(desk.photos.thumbnail(kept.photo_id)).size) == 320
    assert desk.safekeeping.check().findings == ()


def test_that_a_picture_sent_twice_is_kept_once(desk: Desk) -> None:
    record_id = run(desk, document("us")).record_id
    command = AttachPhoto(
        actor=desk.actor(),
        subject=PhotoSubject.RECORD,
        subject_id=record_id,
        kind=PhotoKind.MAGNET,
        name="a.jpg",
        content=jpeg(drawn()),
    )
    assert desk.photos.attach(command) == desk.photos.attach(command)
    assert len(desk.photos.of(PhotoSubject.RECORD, record_id)) == 1
    with pytest.raises(RuleBroken, match="attached already"):
        _attach(desk, record_id, jpeg(drawn()))


def test_that_a_picture_taken_back_stays_in_the_books(floor: Floor) -> None:
    desk = floor.desk
    record_id = run(desk, document("us")).record_id
    kept = _attach(desk, record_id, jpeg(drawn()))
    desk.photos.withdraw(WithdrawPhoto(actor=desk.actor(), photo_id=kept.photo_id, reason="another vehicle"))
    assert desk.photos.of(PhotoSubject.RECORD, record_id) == ()
    assert ask(floor.url, "SELECT withdraws_id, reason FROM photo ORDER BY id") == [
        (None, ""),
        (kept.photo_id, "another vehicle"),
    ]
    with pytest.raises(NotFound):
        desk.photos.picture(kept.photo_id)
    with pytest.raises(NotFound):
        desk.photos.withdraw(WithdrawPhoto(actor=desk.actor(), photo_id=kept.photo_id))
    assert _attach(desk, record_id, jpeg(drawn())).sha == kept.sha
    assert desk.safekeeping.check().findings == ()


def test_that_a_vehicle_has_pictures_of_its_own(desk: Desk) -> None:
    done = run(desk, document("us"))
    command = AttachPhoto(
        actor=desk.actor(),
        subject=PhotoSubject.VEHICLE,
        subject_id=done.vehicle_id,
        kind=PhotoKind.ODOMETER,
        name="dial.jpg",
        content=jpeg(drawn()),
    )
    desk.photos.attach(command)
    assert [row.kind for row in desk.photos.of(PhotoSubject.VEHICLE, done.vehicle_id)] == [PhotoKind.ODOMETER]
    assert desk.photos.of(PhotoSubject.RECORD, done.record_id) == ()


def test_that_a_refused_picture_leaves_nothing(floor: Floor) -> None:
    desk = floor.desk
    record_id = run(desk, document("us")).record_id
    for content in (bomb(), b"", jpeg(drawn(900, 900))[:2000]):
        with pytest.raises(RuleBroken) as refused:
            _attach(desk, record_id, content)
        assert refused.value.field == "picture"
    with pytest.raises(NotFound):
        _attach(desk, 999, jpeg(drawn()))
    assert ask(floor.url, "SELECT count(*) FROM photo") == [(0,)]
    assert ask(floor.url, "SELECT count(*) FROM stored_file WHERE media = 'image/jpeg'") == [(0,)]


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("../../etc/passwd", "passwd"),
        (r"C:\Users\Rhea\IMG 1.jpg", "IMG 1.jpg"),
        ("", "picture"),
        ("a\u202egpj.exe", "agpj.exe"),
    ],
)
def test_that_a_file_keeps_only_its_own_name(given: str, kept: str) -> None:
    assert file_name(given) == kept


def test_that_a_file_that_cannot_be_read_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RuleBroken, match="cannot be read") as refused:
        read_file(tmp_path / "none.jpg")
    assert refused.value.field == "picture"
    file = tmp_path / "one.jpg"
    file.write_bytes(jpeg(drawn()))
    assert read_file(file) == jpeg(drawn())
    with file.open("wb") as opened:
        opened.truncate(25_000_001)
    with pytest.raises(RuleBroken, match="25 MB"):
        read_file(file)
