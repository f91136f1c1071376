"""Draws the letters of the picture once, from a font file, into lettering.bin.

Usage: python lettering.py FONT.ttf lettering.bin
Needs Pillow. Used with DejaVu Sans 2.37 (free licence of Bitstream Vera and Arev; see docs/decisions/0041-letter-picture.md).
Format, zlib-packed: pixel size u8, ascent u8, line height u8, glyph count u16; per glyph: code point u16, advance u8,
left i8, top u8, width u8, height u8; then the coverage bytes of all glyphs in the same order. Big-endian.
"""
import struct
import sys
import zlib

from PIL import Image, ImageDraw, ImageFont

SIZE = 22
font = ImageFont.truetype(sys.argv[1], SIZE)
ascent, descent = font.getmetrics()
codes = list(range(32, 127)) + list(range(0xA1, 0x100)) + [0x2013, 0x2019, 0x201C, 0x201D, 0x2026, 0x2212]
table, pixels = b"", b""
for code in codes:
    letter = chr(code)
    left, top, right, bottom = font.getbbox(letter)
    width, height = max(0, right - left), max(0, bottom - top)
    image = Image.new("L", (max(1, width), max(1, height)))
    ImageDraw.Draw(image).text((-left, -top), letter, font=font, fill=255)
    table += struct.pack(">HBbBBB", code, round(font.getlength(letter)), left, max(0, top), width, height)
    pixels += image.tobytes() if width and height else b""
packed = zlib.compress(struct.pack(">BBBH", SIZE, ascent, ascent + descent, len(codes)) + table + pixels, 9)
open(sys.argv[2], "wb").write(packed)
