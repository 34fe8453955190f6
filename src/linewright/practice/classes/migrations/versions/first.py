"""Classes, pupils, their lessons, and the log that only grows."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "first"
down_revision = None
branch_labels = None
depends_on = None

SERIAL = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

#: An entry is never changed; it is deleted only with the pupil it belongs to, when that pupil is being erased.
SQLITE_GUARDS = (
    """CREATE TRIGGER entries_stay BEFORE UPDATE ON entries
    BEGIN SELECT RAISE(ABORT, 'the log is never rewritten'); END""",
    """CREATE TRIGGER entries_kept BEFORE DELETE ON entries
    WHEN NOT EXISTS (SELECT 1 FROM pupils WHERE id = OLD.pupil_id AND erasing)
    BEGIN SELECT RAISE(ABORT, 'the log is never shortened'); END""",
)
POSTGRES_GUARDS = (
    """CREATE FUNCTION entries_guard() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        IF TG_OP = 'UPDATE' THEN RAISE EXCEPTION 'the log is never rewritten'; END IF;
        IF NOT EXISTS (SELECT 1 FROM pupils WHERE id = OLD.pupil_id AND erasing)
        THEN RAISE EXCEPTION 'the log is never shortened'; END IF;
        RETURN OLD;
    END $$""",
    """CREATE TRIGGER entries_guard BEFORE UPDATE OR DELETE ON entries
    FOR EACH ROW EXECUTE FUNCTION entries_guard()""",
)


def upgrade() -> None:
    op.create_table(
        "classes",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("retention", sa.Float(), nullable=False),
        sa.Column("minutes", sa.Float(), nullable=False),
        sa.Column("weights", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_classes"),
        sa.UniqueConstraint("name", name="uq_classes_name"),
    )
    op.create_table(
        "pupils",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("class_id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("link", sa.LargeBinary(32), nullable=True),
        sa.Column("erasing", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_pupils"),
        sa.ForeignKeyConstraint(["class_id"], ["classes.id"], name="fk_pupils_class_id", ondelete="CASCADE"),
        sa.UniqueConstraint("link", name="uq_pupils_link"),
        sa.UniqueConstraint("class_id", "name", name="uq_pupils_class_id_name"),
    )
    op.create_index("ix_pupils_class_id", "pupils", ["class_id"])
    op.create_table(
        "lessons",
        sa.Column("class_id", sa.String(32), nullable=False),
        sa.Column("title", sa.String(300), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("drills", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("class_id", "title", name="pk_lessons"),
        sa.ForeignKeyConstraint(["class_id"], ["classes.id"], name="fk_lessons_class_id", ondelete="CASCADE"),
    )
    op.create_table(
        "entries",
        sa.Column("seq", SERIAL, autoincrement=True, nullable=False),
        sa.Column("pupil_id", sa.String(32), nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("kind", sa.String(8), nullable=False),
        sa.Column("drill", sa.String(16), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("rating", sa.Integer(), nullable=False),
        sa.Column("answer", sa.String(64), nullable=False),
        sa.Column("took", sa.Integer(), nullable=False),
        sa.Column("undoes", sa.String(36), nullable=False),
        sa.PrimaryKeyConstraint("seq", name="pk_entries"),
        sa.ForeignKeyConstraint(["pupil_id"], ["pupils.id"], name="fk_entries_pupil_id", ondelete="CASCADE"),
        sa.UniqueConstraint("pupil_id", "id", name="uq_entries_pupil_id_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_entries_pupil_id_seq", "entries", ["pupil_id", "seq"])
    sqlite = op.get_bind().dialect.name == "sqlite"
    for guard in SQLITE_GUARDS if sqlite else POSTGRES_GUARDS:
        op.execute(guard)


def downgrade() -> None:
    for table in ("entries", "lessons", "pupils", "classes"):
        op.drop_table(table)
    if op.get_bind().dialect.name != "sqlite":
        op.execute("DROP FUNCTION entries_guard()")
