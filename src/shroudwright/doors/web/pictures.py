"""What a picture is sent with: it may load nothing from outside itself.

PICTURE_HEADERS
"""

PICTURE_HEADERS = {
    "content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; font-src data:",
    "cache-control": "private, max-age=3600",
}
