"""The tables that classes are kept in; ``migrations/`` makes them."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

#: Names for keys and indices, so that both databases and every migration call them alike.
NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}
metadata = MetaData(naming_convention=NAMING)

#: Counts up by itself in both databases; SQLite does so for ``INTEGER`` only.
SERIAL = BigInteger().with_variant(Integer(), "sqlite")

classes = Table(
    "classes",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("name", String(200), nullable=False, unique=True),
    Column("made", BigInteger, nullable=False),
    Column("retention", Float, nullable=False),
    Column("minutes", Float, nullable=False),
    # 21 weights of FSRS-6 as JSON, once fitted.
    Column("weights", Text, nullable=True),
)

pupils = Table(
    "pupils",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("class_id", String(32), ForeignKey("classes.id", ondelete="CASCADE"), nullable=False, index=True),
    # What the trainer calls the pupil; nobody needs a real one.
    Column("name", String(200), nullable=False),
    Column("made", BigInteger, nullable=False),
    # SHA-256 of the link's secret; null: no link works. The secret itself is never kept.
    Column("link", LargeBinary(32), nullable=True, unique=True),
    # Set only while a pupil is being erased: it alone opens the log to deletion.
    Column("erasing", Boolean, nullable=False, default=False),
    UniqueConstraint("class_id", "name"),
)

lessons = Table(
    "lessons",
    metadata,
    Column("class_id", String(32), ForeignKey("classes.id", ondelete="CASCADE"), primary_key=True),
    Column("title", String(300), primary_key=True),
    Column("made", BigInteger, nullable=False),
    # The lesson's drills as JSON.
    Column("drills", Text, nullable=False),
)

entries = Table(
    "entries",
    metadata,
    # The order of arrival; devices ask for what came after the last they know.
    Column("seq", SERIAL, primary_key=True, autoincrement=True),
    Column("pupil_id", String(32), ForeignKey("pupils.id", ondelete="CASCADE"), nullable=False),
    # Made by the device; the same entry sent twice is one.
    Column("id", String(36), nullable=False),
    Column("kind", String(8), nullable=False),
    Column("drill", String(16), nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("rating", Integer, nullable=False),
    Column("answer", String(64), nullable=False),
    Column("took", Integer, nullable=False),
    Column("undoes", String(36), nullable=False),
    UniqueConstraint("pupil_id", "id"),
    Index(None, "pupil_id", "seq"),
    sqlite_autoincrement=True,
)
