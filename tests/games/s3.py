"""A storage server that speaks as much of Amazon's S3 interface as ``s3fs`` asks of it; everything is in memory.

Written from the public API reference (Amazon Simple Storage Service, API version 2006-03-01: CreateBucket, PutObject,
GetObject with Range, HeadObject, CopyObject, DeleteObject, DeleteObjects, ListObjectsV2, multipart uploads). Signatures
are not checked, and what isn't answered is refused with 501, so that nothing passes unnoticed.
"""

from __future__ import annotations

import hashlib
import re
import threading
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from email.utils import formatdate
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit
from xml.etree import ElementTree as Xml
from xml.sax.saxutils import escape

#: Keys in one page of a listing: few, so that going on to the next page is tested too (S3 itself gives 1000).
PAGE = 10

_TIME = "2020-01-01T00:00:00.000Z"


class _Store(ThreadingHTTPServer):
    """The buckets' objects by ``(bucket, key)``, and the parts of uploads under way by their number."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Handler)
        self.buckets: set[str] = set()
        self.objects: dict[tuple[str, str], bytes] = {}
        self.uploads: dict[str, dict[int, bytes]] = {}


@contextmanager
def s3_server() -> Iterator[str]:
    """The address of a server of our own, while it runs."""
    store = _Store()
    thread = threading.Thread(target=store.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{store.server_address[1]}"
    finally:
        store.shutdown()
        thread.join()
        store.server_close()


class _Handler(BaseHTTPRequestHandler):
    server: _Store
    protocol_version = "HTTP/1.1"

    def log_message(self, format: str, *args: Any) -> None:
        pass

    def do_any(self) -> None:
        url = urlsplit(self.path)
        self.asked = {name: values[0] for name, values in parse_qs(url.query, keep_blank_values=True).items()}
        bucket, _, key = unquote(url.path).lstrip("/").partition("/")
        self.body = self.read_body()
        if self.command != "PUT" and bucket not in self.server.buckets:
            return self.refuse(404, "NoSuchBucket")
        answer = getattr(self, f"{self.command.lower()}_{'object' if key else 'bucket'}")
        return answer(bucket, key)

    do_GET = do_PUT = do_HEAD = do_POST = do_DELETE = do_any

    def read_body(self) -> bytes:
        """The body, freed of the chunks in which a client may sign it (``aws-chunked``)."""
        data = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        if "aws-chunked" not in self.headers.get("Content-Encoding", ""):
            return data
        whole = b""
        while data:
            head, _, data = data.partition(b"\r\n")
            size = int(head.partition(b";")[0], 16)
            if not size:
                break
            whole, data = whole + data[:size], data[size + 2 :]
        return whole

    def put_bucket(self, bucket: str, key: str) -> None:
        self.server.buckets.add(bucket)
        self.reply(200)

    def head_bucket(self, bucket: str, key: str) -> None:
        self.reply(200)

    def get_bucket(self, bucket: str, key: str) -> None:
        if self.asked.get("list-type") != "2":
            return self.refuse(501, "NotImplemented")
        prefix, delimiter = self.asked.get("prefix", ""), self.asked.get("delimiter", "")
        entries: dict[str, bytes | None] = {}
        for (own, name), data in sorted(self.server.objects.items()):
            if own == bucket and name.startswith(prefix):
                rest, found, _ = name[len(prefix) :].partition(delimiter) if delimiter else (name, "", "")
                entries[prefix + rest + delimiter if found else name] = None if found else data
        after = self.asked.get("continuation-token") or self.asked.get("start-after", "")
        left = [name for name in entries if name > after]
        page = left[: min(PAGE, int(self.asked.get("max-keys", PAGE)))]
        listed = "".join(
            f"<CommonPrefixes><Prefix>{escape(name)}</Prefix></CommonPrefixes>"
            if (data := entries[name]) is None
            else f"<Contents><Key>{escape(name)}</Key><LastModified>{_TIME}</LastModified><ETag>{tag(data)}</ETag>"
            f"<Size>{len(data)}</Size><StorageClass>STANDARD</StorageClass></Contents>"
            for name in page
        )
        more = len(left) > len(page)
        token = f"<NextContinuationToken>{escape(page[-1])}</NextContinuationToken>" if more else ""
        return self.reply_xml(
            "ListBucketResult",
            f"<Name>{bucket}</Name><KeyCount>{len(page)}</KeyCount><IsTruncated>{str(more).lower()}</IsTruncated>"
            + token
            + listed,
        )

    def post_bucket(self, bucket: str, key: str) -> None:
        if "delete" not in self.asked:
            return self.refuse(501, "NotImplemented")
        names = [node.text or "" for node in Xml.fromstring(self.body).iter() if node.tag.endswith("Key")]
        for name in names:
            self.server.objects.pop((bucket, name), None)
        gone = "".join(f"<Deleted><Key>{escape(name)}</Key></Deleted>" for name in names)
        return self.reply_xml("DeleteResult", gone)

    def put_object(self, bucket: str, key: str) -> None:
        if bucket not in self.server.buckets:
            return self.refuse(404, "NoSuchBucket")
        data = self.body
        if source := self.headers.get("x-amz-copy-source"):
            source_bucket, _, source_key = unquote(source).lstrip("/").partition("/")
            data = self.server.objects[source_bucket, source_key]
        if "uploadId" in self.asked:
            self.server.uploads[self.asked["uploadId"]][int(self.asked["partNumber"])] = data
        else:
            self.server.objects[bucket, key] = data
        if source:
            return self.reply_xml("CopyObjectResult", f"<LastModified>{_TIME}</LastModified><ETag>{tag(data)}</ETag>")
        return self.reply(200, ETag=tag(data))

    def post_object(self, bucket: str, key: str) -> None:
        where = f"<Bucket>{bucket}</Bucket><Key>{escape(key)}</Key>"
        if "uploads" in self.asked:
            number = uuid.uuid4().hex
            self.server.uploads[number] = {}
            return self.reply_xml("InitiateMultipartUploadResult", f"{where}<UploadId>{number}</UploadId>")
        parts = self.server.uploads.pop(self.asked["uploadId"])
        data = self.server.objects[bucket, key] = b"".join(parts[number] for number in sorted(parts))
        return self.reply_xml("CompleteMultipartUploadResult", f"{where}<ETag>{tag(data)}</ETag>")

    def get_object(self, bucket: str, key: str) -> None:
        data = self.server.objects.get((bucket, key))
        if data is None:
            return self.refuse(404, "NoSuchKey")
        told = {"ETag": tag(data), "Last-Modified": formatdate(0, usegmt=True), "Accept-Ranges": "bytes"}
        if wanted := re.fullmatch(r"bytes=(\d+)-(\d*)", self.headers.get("Range", "")):
            start, end = int(wanted[1]), min(int(wanted[2] or len(data)), len(data) - 1)
            if start >= len(data):
                return self.refuse(416, "InvalidRange")
            told["Content-Range"] = f"bytes {start}-{end}/{len(data)}"
            return self.reply(206, data[start : end + 1], **told)
        return self.reply(200, data, **told)

    head_object = get_object

    def delete_object(self, bucket: str, key: str) -> None:
        self.server.objects.pop((bucket, key), None)
        self.reply(204)

    def refuse(self, status: int, code: str) -> None:
        self.reply_xml("Error", f"<Code>{code}</Code><Message>{code}</Message>", status)

    def reply_xml(self, root: str, inside: str, status: int = 200) -> None:
        space = "" if root == "Error" else ' xmlns="http://s3.amazonaws.com/doc/2006-03-01/"'
        text = f'<?xml version="1.0" encoding="UTF-8"?>\n<{root}{space}>{inside}</{root}>'
        self.reply(status, text.encode(), **{"Content-Type": "application/xml"})

    def reply(self, status: int, data: bytes = b"", **headers: str) -> None:
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)


def tag(data: bytes) -> str:
    """An object's entity tag: the MD5 of what it holds, in quotes."""
    return f'"{hashlib.md5(data, usedforsecurity=False).hexdigest()}"'
