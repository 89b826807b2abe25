"""A photo of an animal: small, without what the camera wrote; kept with its line, sent after it, holding up none."""

from __future__ import annotations

import base64
import struct
from hashlib import sha256

import pytest

pytestmark = pytest.mark.browser

CAMERA = b"Invented Camera 44.5 N 68.2 W"
DRAWN = """async ([width, height]) => {
  const canvas = Object.assign(document.createElement('canvas'), {width, height});
  const pen = canvas.getContext('2d');
  for (let x = 0; x < width; x += 40) {
    pen.fillStyle = `hsl(${x % 360} 60% 50%)`;
    pen.fillRect(x, 0, 40, height);
  }
  const blob = await new Promise((made) => canvas.toBlob(made, 'image/jpeg', 0.95));
  const bytes = new Uint8Array(await blob.arrayBuffer());
  return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(''));
}"""
WAITING = """() => window.haulbook.store.run('readonly', (tx) => new Promise((found) => {
  tx.objectStore('pictures').getAll().onsuccess = ({target}) => found(target.result.map(({sha256}) => sha256));
}))"""


def exif(orientation):
    """An Exif segment with orientation and maker (JEITA CP-3451, 4.6.4: tags 274 and 271), as cameras write it."""
    maker = CAMERA + b"\0"
    tags = struct.pack("<HHIHH", 274, 3, 1, orientation, 0) + struct.pack("<HHII", 271, 2, len(maker), 38)
    tiff = b"II*\0" + struct.pack("<IH", 8, 2) + tags + struct.pack("<I", 0) + maker
    return b"\xff\xe1" + struct.pack(">H", len(tiff) + 8) + b"Exif\0\0" + tiff


def size_of(jpeg):
    """Width and height by the frame header (ITU-T T.81, B.2.2)."""
    at = 2
    while jpeg[at + 1] not in (0xC0, 0xC1, 0xC2):
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")
    height, width = struct.unpack(">HH", jpeg[at + 5 : at + 9])
    return width, height


class Camera:
    """What a camera hands to the page of a phone."""

    def __init__(self, phone):
        self.phone = phone

    def picture(self, width=3000, height=2000, orientation=1):
        plain = base64.b64decode(self.phone.page.evaluate(DRAWN, [width, height]))
        return plain[:2] + exif(orientation) + plain[2:]

    def take(self, name="Photo: the last call", content=None, **size):
        """Press Photo and let the camera hand over a picture."""
        with self.phone.page.expect_file_chooser() as chooser:
            self.phone.press(name)
        content = self.picture(**size) if content is None else content
        chooser.value.set_files({"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": content})
        self.phone.settle()

    @property
    def lines(self):
        return [entry for entry in self.phone.entries() if entry.kind == "picture"]

    @property
    def waiting(self):
        return self.phone.page.evaluate(WAITING)


@pytest.fixture
def hauling(beach):
    """A phone with a haul on and one call in it."""

    def go(**how):
        phone = beach(**how)
        phone.start()
        phone.call("six cunner, back")
        return phone, Camera(phone)

    return go


def send(phone):
    """Send lines, then photos, until nothing is only on this phone."""
    phone.page.evaluate(
        """async () => {
          const {store, sync, pictures} = window.haulbook;
          for (;;) {
            await sync();
            await pictures.now();
            const left = await store.unsent();
            if (!left.n && !left.pictures) return;
            await new Promise((go) => setTimeout(go, 20));
          }
        }"""
    )


def send_lines(phone):
    """Send lines until none is only on this phone; photos are asked for once."""
    phone.page.evaluate(
        """async () => {
          const {sync, pictures} = window.haulbook;
          while ((await sync()).unsent) await new Promise((go) => setTimeout(go, 20));
          await pictures.now();
        }"""
    )


def test_the_station_gets_a_small_upright_picture_without_what_the_camera_wrote(hauling, station):
    phone, camera = hauling()
    assert CAMERA in camera.picture()
    camera.take(width=3000, height=2000, orientation=6)  # held upright: turned by 90 degrees
    phone.page.locator(".understood").get_by_text("1 photo").wait_for()
    send(phone)
    ((digest, content),) = station.pictures.items()
    assert size_of(content) == (1067, 1600)
    assert b"Exif" not in content
    assert CAMERA not in content
    (line,) = camera.lines
    (call,) = [entry for entry in phone.entries() if entry.kind == "move"]
    assert line.body == {"of": call.id, "sha256": digest, "bytes": len(content)}
    assert sha256(content).hexdigest() == digest


def test_a_small_picture_is_not_made_larger(hauling, station):
    phone, camera = hauling()
    camera.take(width=640, height=480)
    send(phone)
    assert [size_of(content) for content in station.pictures.values()] == [(640, 480)]


def test_a_photo_outlives_a_reload_without_signal_and_goes_after_its_line(hauling, station):
    phone, camera = hauling()
    send(phone)
    station.away = True
    camera.take()
    phone.page.locator("#store").get_by_text("1 line and 1 photo only on this phone").wait_for()
    phone.page.locator(".understood").get_by_text("1 photo").wait_for()
    station.away, station.asked = False, []
    real, station.sync = station.sync, lambda text: b"busy"  # the page comes, lines do not
    phone.page.reload()
    phone.until("window.haulbook?.opened")
    phone.page.evaluate("() => window.haulbook.pictures.now()")
    assert "picture" not in station.asked
    (digest,) = camera.waiting
    station.sync, station.asked = real, []
    send(phone)
    assert list(station.pictures) == [digest]
    assert station.asked.index("sync") < station.asked.index("picture")
    phone.page.locator("#store").get_by_text("Every line is at the station").wait_for()
    assert camera.waiting == []


def test_a_photo_that_the_phone_will_not_store_is_loud_and_held_and_half_of_it_is_nowhere(hauling):
    phone, camera = hauling()
    phone.fill_up()
    camera.take()
    loud = phone.page.get_by_role("alert").filter(has_text="1 photo is not stored.")
    loud.wait_for()
    assert "The storage of this phone is full. Do not close this page. Free some space" in loud.inner_text()
    assert (camera.lines, camera.waiting) == ([], [])
    with phone.page.expect_download() as download:
        phone.press("Save these as a file")
    assert download.value.path().read_bytes().startswith(b"\xff\xd8\xff")
    phone.free()
    phone.call("two tautog, back")  # a line is not held up by it
    assert [entry.body["lines"][0]["n"] for entry in phone.entries() if entry.kind == "move"] == [6, 2]
    phone.press("Store again")
    loud.wait_for(state="detached")
    (line,) = camera.lines
    assert line.body["of"] == next(e.id for e in phone.entries() if e.kind == "move")
    phone.until("window.haulbook.pictures.held.length === 0")


def test_lines_go_on_while_the_station_takes_no_pictures(hauling, station):
    phone, camera = hauling()
    station.picture_fails = [500, 413, 405, 400] * 50
    camera.take()
    send_lines(phone)
    phone.call("two tautog, back")
    send_lines(phone)
    assert {entry.id for entry in station.entries} == {entry.id for entry in phone.entries()}
    assert len(camera.waiting) == 1
    phone.page.locator("#store").get_by_text("1 photo only on this phone").wait_for()
    phone.press("More")
    phone.press("What is only on this phone")
    phone.page.get_by_text("Photos wait and are tried again").wait_for()
    phone.page.get_by_text("without the place and device that the camera wrote").wait_for()
    station.picture_fails = []
    phone.press("Send now")
    send(phone)
    assert len(station.pictures) == 1


def test_one_picture_that_is_refused_does_not_hold_up_the_next(hauling, station):
    phone, camera = hauling()
    station.away = True
    camera.take(width=640)
    camera.take(width=480)
    station.away, station.picture_fails = False, [400]
    send(phone)
    assert len(station.pictures) == 2
    assert phone.page.locator(".understood").get_by_text("2 photos").is_visible()


def test_a_photo_is_taken_of_older_lines_in_the_list_and_can_be_struck(hauling, station):
    phone, camera = hauling()
    phone.call("two tautog, back")
    phone.call("two tautog, back")
    phone.press("More")
    phone.press("All lines", exact=False)
    camera.take("Photo: 6 cunner, back", width=640)
    photo = phone.page.locator(".what").filter(has_text="Photo of 6 cunner, back")
    photo.wait_for()
    phone.page.locator(".photos").filter(has_text="1 photo").wait_for()
    assert phone.button("Photo: Photo of 6 cunner, back").count() == 0
    phone.press("Strike this: Photo of 6 cunner, back")
    phone.page.locator(".what.struck").filter(has_text="Photo of 6 cunner").wait_for()
    assert phone.page.locator(".photos").filter(has_text="1 photo").count() == 0
    assert len(camera.lines) == 1


def test_the_last_call_is_meant_also_where_it_reads_like_the_one_before(hauling):
    phone, camera = hauling()
    phone.call("six cunner, back")
    camera.take(width=640)
    last = [entry.id for entry in phone.entries() if entry.kind == "move"][-1]
    assert camera.lines[0].body["of"] == last


def test_a_file_that_is_no_picture_is_said_and_nothing_is_written(hauling):
    phone, camera = hauling()
    camera.take(content=b"words")
    phone.page.get_by_role("alert").filter(has_text="could not be read as a picture").wait_for()
    assert (camera.lines, camera.waiting) == ([], [])


def test_a_phone_of_before_there_were_photos_keeps_everything(beach, station):
    phone = beach(go=False)
    phone.page.goto(f"{station.url}tokens.css")
    phone.page.evaluate(
        """() => new Promise((done) => {
          const request = indexedDB.open('haulbook', 1);
          request.onupgradeneeded = () => {
            const db = request.result;
            const entries = db.createObjectStore('entries', {keyPath: 'hash'});
            entries.createIndex('id', 'id');
            entries.createIndex('outing', 'outing');
            entries.createIndex('chain', ['device', 'seq']);
            db.createObjectStore('outbox', {keyPath: ['device', 'seq', 'hash']});
            db.createObjectStore('rejected', {keyPath: 'hash'});
            db.createObjectStore('kits', {keyPath: 'outing'});
            db.createObjectStore('meta').put('d1', 'device');
            entries.put({hash: 'a', id: 'b', outing: 'c', device: 'd1', seq: 1});
          };
          request.onsuccess = () => { request.result.close(); done(); };
        })"""
    )
    phone.page.goto(station.url)
    phone.until("window.haulbook?.opened")
    assert phone.page.evaluate("window.haulbook.store.device") == "d1"
    assert phone.page.evaluate("window.haulbook.store.entries().then((all) => all.length)") == 1
    assert Camera(phone).waiting == []


@pytest.mark.parametrize(("width", "text"), [(390, 100), (320, 100), (390, 200)])
def test_photo_and_strike_can_be_pressed_with_a_wet_thumb(hauling, width, text):
    phone, _ = hauling(width=width, text=text)
    boxes = [phone.button(name).first.bounding_box() for name in ("Photo: the last call", "Strike")]
    for box in boxes:
        assert box["height"] >= 56
        assert box["width"] >= 56
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
    one, other = boxes
    apart = max(abs(one["x"] - other["x"]) - one["width"], abs(one["y"] - other["y"]) - one["height"])
    assert apart >= 8
    assert phone.page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_saved_copy_says_that_photos_are_not_in_it_and_can_be_brought_in(hauling):
    phone, camera = hauling()
    camera.take(width=640)
    phone.press("More")
    phone.press("What is only on this phone")
    phone.page.get_by_text("Photos are not in it").wait_for()
    with phone.page.expect_download() as download:
        phone.press("Save a copy")
    copy = download.value.path().read_bytes()
    assert camera.lines[0].body["sha256"].encode() in copy
    with phone.page.expect_file_chooser() as chooser:
        phone.press("Bring in a copy")
    chooser.value.set_files({"name": "copy.jsonl", "mimeType": "text/plain", "buffer": copy})
    phone.page.get_by_text("All lines of it were here already.").wait_for()
