"""Photographs made for tests: invented pictures with what a camera writes into them."""

import io

from PIL import Image
from PIL.TiffImagePlugin import IFDRational

#: Bytes that would tell the place or the day, in each way a camera may write them.
MARKS = (
    b"SECRET-PLACE", b"GPSLatitude", b"2026:05:04", b"Invented Camera", b"Exif\x00\x00",
    b"http://ns.adobe.com/xap", b"Photoshop 3.0",
)  # fmt: skip
#: Head, tables, frame and scan of a JPEG: what pixels need.
PIXELS_ALONE = {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf='
    b'"http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description exif:GPSLatitude='
    b'"34,12.5N SECRET-PLACE"/></rdf:RDF></x:xmpmeta>'
)


def degrees(value):
    """Return degrees, minutes and seconds of a figure, as fractions."""
    whole, rest = divmod(abs(value), 1)
    minutes, rest = divmod(rest * 60, 1)
    return (IFDRational(int(whole)), IFDRational(int(minutes)),
            IFDRational(round(rest * 60 * 10_000), 10_000))  # fmt: skip


def jpeg(lon=None, lat=None, taken="2026:05:04 10:11:12", gps=None, size=(64, 48),
         orientation=None, error=None, told=True):  # fmt: skip
    """Return a JPEG; ``gps`` puts tags into it as they are."""
    image = Image.new("RGB", size, (90, 120, 60))
    image.putpixel((0, 0), (255, 0, 0))
    exif = Image.Exif()
    exif[271] = "Invented Camera"
    if orientation:
        exif[274] = orientation
    if taken is not None:
        exif.get_ifd(0x8769)[36867] = taken
    tags = {}
    if lon is not None:
        tags = {1: "N" if lat >= 0 else "S", 2: degrees(lat),
                3: "E" if lon >= 0 else "W", 4: degrees(lon)}  # fmt: skip
    if error is not None:
        tags[31] = error
    tags |= gps or {}
    if tags:
        exif.get_ifd(0x8825).update(tags)
    out = io.BytesIO()
    more = {"comment": b"SECRET-PLACE", "xmp": XMP} if told else {}
    image.save(out, "JPEG", exif=exif.tobytes(), quality=95, **more)
    data = out.getvalue()
    if told:  # what a photo editor and a phone's moving picture leave
        iptc = b"Photoshop 3.0\x008BIM\x04\x04SECRET-PLACE"
        segment = b"\xff\xed" + (len(iptc) + 2).to_bytes(2, "big") + iptc
        data = data[:2] + segment + data[2:] + b"SECRET-PLACE behind the end"
    return data


def segments(data):
    """Return the markers of a JPEG before its pixels, and what stands behind its end."""
    at, found = 2, []
    while True:
        assert data[at] == 0xFF, at
        marker = data[at + 1]
        found.append(marker)
        if marker == 0xDA:
            return found, data.partition(b"\xff\xd9")[2]
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")


def bare_faults(data):
    """Return what a JPEG holds besides what draws its pixels; nothing when it is bare."""
    found, behind = segments(data)
    faults = [hex(marker) for marker in found if marker not in PIXELS_ALONE]
    faults += [repr(mark) for mark in MARKS if mark in data]
    return faults + (["bytes behind its end"] if behind else [])
