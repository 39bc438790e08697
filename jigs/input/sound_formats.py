"""What a file of sound is, by its first bytes, and what is inside a WAV, by its number."""

HEAD_BYTES = 1 << 12
"""As many as `named` looks at."""

_BEGINS = {
    b"ID3": "MP3",
    b"fLaC": "FLAC",
    b"ADIF": "AAC",
    b"#!AMR": "AMR",
    b"caff": "CAF",
    b"\x30\x26\xb2\x75\x8e\x66\xcf\x11": "WMA",
    b".snd": "Au",
    b"RIFX": "RIFX",
    b"riff\x2e\x91\xcf\x11": "Wave64",
    b"wvpk": "WavPack",
    b"MThd": "MIDI",
    b"DSD ": "DSF",
}
_FORMS = {
    (b"FORM", b"AIFF"): "AIFF",
    (b"FORM", b"AIFC"): "AIFF-C",
    (b"RIFF", b"AVI "): "AVI",
}
"""Files in chunks, by the first four bytes and the four after the length."""

_BRANDS = {b"M4A ": "M4A", b"M4B ": "M4A", b"3gp": "3GP", b"3g2": "3GP"}
_IN_OGG = {b"OpusHead": "Ogg Opus", b"\x01vorbis": "Ogg Vorbis", b"\x7fFLAC": "Ogg FLAC"}
_WAVES = (b"RIFF", b"RF64", b"BW64")
_LAYERS = {1: "MP3", 2: "MP2"}

PCM, FLOAT, EXTENSIBLE = 0x0001, 0x0003, 0xFFFE
"""Numbers of codecs in a WAV. With the last, the number is the beginning of a longer one."""

_INSIDE = {
    **dict.fromkeys([0x0002, 0x0010, 0x0011, 0x0014, 0x0017, 0x0036, 0x0040, 0x0045, 0x0064, 0x0065], "ADPCM"),
    0x0006: "A-law",
    0x0007: "µ-law",
    **dict.fromkeys([0x0031, 0x0032], "GSM"),
    0x0050: "MP2",
    0x0055: "MP3",
    **dict.fromkeys([0x00FF, 0x1600, 0x1601, 0x1602, 0x1610, 0xA106], "AAC"),
    **dict.fromkeys([0x0160, 0x0161, 0x0162, 0x0163], "WMA"),
    0xF1AC: "FLAC",
    **dict.fromkeys([0x566F, 0x674F, 0x6750, 0x6751, 0x676F, 0x6770, 0x6771], "Vorbis"),
    0x704F: "Opus",
}


def named(head: bytes) -> str:
    """The format of a file with these first bytes: WAV, the name of another one, or empty if it is unknown.

    >>> named(b"RIFF....WAVEfmt "), named(b"fLaC"), named(b"....ftypM4A "), named(bytes.fromhex("fffb9064")), named(b"abc")
    ('WAV', 'FLAC', 'M4A', 'MP3', '')
    """
    form = (head[:4], head[8:12])
    if form[0] in _WAVES and form[1] == b"WAVE":
        return "WAV"
    if form in _FORMS:
        return _FORMS[form]
    if head[4:8] == b"ftyp":
        return next((name for brand, name in _BRANDS.items() if head[8:].startswith(brand)), "MP4")
    if head.startswith(b"OggS"):
        return next((name for mark, name in _IN_OGG.items() if mark in head), "Ogg")
    if head.startswith(b"\x1a\x45\xdf\xa3"):
        return "WebM" if b"webm" in head[:64] else "Matroska"
    return next((name for begin, name in _BEGINS.items() if head.startswith(begin)), _by_sync(head))


def _by_sync(head: bytes) -> str:
    """The format of a stream of frames: eleven set bits, then the version and the layer.

    A layer of 0 is AAC. The first layer is out of use, and a text in UTF-16 begins like it.
    """
    if len(head) < 4 or not head.startswith(b"\xff") or head[1] & 0xE0 != 0xE0:
        return ""
    layer = head[1] >> 1 & 3
    if layer == 0:
        return "AAC" if head[1] & 0xF0 == 0xF0 else ""
    has_a_rate = head[1] >> 3 & 3 != 1 and head[2] >> 4 != 15 and head[2] >> 2 & 3 != 3
    return _LAYERS.get(layer, "") if has_a_rate else ""


def inside(codec: int) -> str:
    """What a WAV with this number of a codec holds.

    >>> inside(0x55), inside(7), inside(0x1234)
    ('MP3', 'µ-law', 'codec 0x1234')
    """
    return _INSIDE.get(codec, f"codec 0x{codec:04X}")
