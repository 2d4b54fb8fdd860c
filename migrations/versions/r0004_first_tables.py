"""The first tables: machines, parts, suppliers, offers, jobs and what was done.

0001 to 0003 were drafts of these tables. Their numbers aren't used again, so that a database of theirs is told
from one of these.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision: str | None = None


def upgrade() -> None:
    """To this revision."""
    op.create_table(
        "imports",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("importer", sa.Text(), nullable=False),
        sa.Column("imported_at", sa.Text(), nullable=False),
        sa.Column("declared_full", sa.Boolean(), nullable=False),
        sa.Column("rows", sa.BigInteger(), nullable=False),
        sa.Column("faults", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_imports")),
    )
    op.create_index(op.f("ix_imports_source"), "imports", ["source"], unique=False)
    op.create_table(
        "machines",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("year", sa.BigInteger(), nullable=True),
        sa.Column("country", sa.Text(), nullable=False),
        sa.Column("plate_voltage", sa.Double(), nullable=True),
        sa.Column("plate_frequency", sa.Double(), nullable=True),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machines")),
    )
    op.create_table(
        "meta",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("database_id", sa.Text(), nullable=False),
        sa.Column("version", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.Text(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_meta_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_meta")),
    )
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("calendar_zone", sa.Text(), nullable=False),
        sa.Column("calendar_country", sa.Text(), nullable=False),
        sa.Column("calendar_region", sa.Text(), nullable=False),
        sa.Column("calendar_weekdays", sa.Text(), nullable=False),
        sa.Column("calendar_closures", sa.Text(), nullable=False),
        sa.Column("hours", sa.Text(), nullable=False),
        sa.Column("goods_in", sa.Text(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("fitters", sa.BigInteger(), nullable=False),
        sa.Column("supply_voltage", sa.Double(), nullable=True),
        sa.Column("supply_frequency", sa.Double(), nullable=True),
        sa.Column("supply_phases", sa.BigInteger(), nullable=True),
        sa.Column("labour_hour_e4", sa.BigInteger(), nullable=True),
        sa.Column("labour_hour_currency", sa.Text(), nullable=True),
        sa.Column("rates", sa.Text(), nullable=False),
        sa.Column("units", sa.Text(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )
    op.create_table(
        "jobs",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=True),
        sa.Column("due", sa.Text(), nullable=False),
        sa.Column("run_hours", sa.Double(), nullable=False),
        sa.Column("late_day_e4", sa.BigInteger(), nullable=False),
        sa.Column("late_day_currency", sa.Text(), nullable=False),
        sa.Column("lost_order_e4", sa.BigInteger(), nullable=True),
        sa.Column("lost_order_currency", sa.Text(), nullable=True),
        sa.Column("way_out", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["machine_id"],
            ["machines.id"],
            name=op.f("fk_jobs_machine_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
    )
    op.create_table(
        "parts",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("family", sa.Text(), nullable=False),
        sa.Column("spec_family", sa.Text(), nullable=False),
        sa.Column("designation", sa.Text(), nullable=False),
        sa.Column("plain", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("quantity", sa.BigInteger(), nullable=False),
        sa.Column("condition", sa.Text(), nullable=True),
        sa.Column("tested_on", sa.Text(), nullable=True),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("import_row", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_parts_import_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_parts")),
    )
    op.create_index(op.f("ix_parts_family"), "parts", ["family"], unique=False)
    op.create_index(op.f("ix_parts_plain"), "parts", ["plain"], unique=False)
    op.create_table(
        "positions",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("family", sa.Text(), nullable=False),
        sa.Column("fitted_family", sa.Text(), nullable=True),
        sa.Column("drawing_family", sa.Text(), nullable=True),
        sa.Column("duty", sa.Text(), nullable=False),
        sa.Column("safety_function", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["machine_id"],
            ["machines.id"],
            name=op.f("fk_positions_machine_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_positions")),
    )
    op.create_index(op.f("ix_positions_machine_id"), "positions", ["machine_id"], unique=False)
    op.create_table(
        "suppliers",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("calendar_zone", sa.Text(), nullable=False),
        sa.Column("calendar_country", sa.Text(), nullable=False),
        sa.Column("calendar_region", sa.Text(), nullable=False),
        sa.Column("calendar_weekdays", sa.Text(), nullable=False),
        sa.Column("calendar_closures", sa.Text(), nullable=False),
        sa.Column("minimum_order_e4", sa.BigInteger(), nullable=False),
        sa.Column("minimum_order_currency", sa.Text(), nullable=False),
        sa.Column("telephone", sa.Text(), nullable=False),
        sa.Column("returns", sa.Double(), nullable=False),
        sa.Column("repairs", sa.Text(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("import_row", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_suppliers_import_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_suppliers")),
    )
    op.create_table(
        "aliases",
        sa.Column("part_id", sa.Text(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("alias", sa.Text(), nullable=False),
        sa.Column("plain", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["part_id"],
            ["parts.id"],
            name=op.f("fk_aliases_part_id"),
            ondelete="CASCADE",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("part_id", "ordinal", name=op.f("pk_aliases")),
    )
    op.create_index(op.f("ix_aliases_plain"), "aliases", ["plain"], unique=False)
    op.create_table(
        "attribute_values",
        sa.Column("part_id", sa.Text(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("attribute", sa.Text(), nullable=False),
        sa.Column("low", sa.Double(), nullable=True),
        sa.Column("high", sa.Double(), nullable=True),
        sa.Column("code", sa.Text(), nullable=True),
        sa.Column("qualifier", sa.Text(), nullable=False),
        sa.Column("variant", sa.Integer(), nullable=False),
        sa.Column("citation", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("confidence", sa.Double(), nullable=False),
        sa.Column("as_written", sa.Text(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("import_row", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_attribute_values_import_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["part_id"],
            ["parts.id"],
            name=op.f("fk_attribute_values_part_id"),
            ondelete="CASCADE",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("part_id", "ordinal", name=op.f("pk_attribute_values")),
    )
    op.create_table(
        "decisions",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("position_id", sa.Text(), nullable=True),
        sa.Column("decided_at", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("part_ids", sa.Text(), nullable=False),
        sa.Column("temporary_until", sa.Text(), nullable=True),
        sa.Column("conditions", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["position_id"],
            ["positions.id"],
            name=op.f("fk_decisions_position_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decisions")),
    )
    op.create_table(
        "deliveries",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("supplier_id", sa.Text(), nullable=False),
        sa.Column("ordered_on", sa.Text(), nullable=False),
        sa.Column("received_on", sa.Text(), nullable=True),
        sa.Column("quoted_days_low", sa.BigInteger(), nullable=False),
        sa.Column("quoted_days_high", sa.BigInteger(), nullable=False),
        sa.Column("said_in_stock", sa.Boolean(), nullable=False),
        sa.Column("was_in_stock", sa.Boolean(), nullable=True),
        sa.Column("right", sa.Boolean(), nullable=True),
        sa.Column("offer_id", sa.Text(), nullable=False),
        sa.Column("service_id", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Text(), nullable=False),
        sa.Column("wanted_id", sa.Text(), nullable=False),
        sa.Column("quantity", sa.BigInteger(), nullable=False),
        sa.Column("ordered_at", sa.Text(), nullable=True),
        sa.Column("promised_on", sa.Text(), nullable=True),
        sa.Column("paid_e4", sa.BigInteger(), nullable=True),
        sa.Column("paid_currency", sa.Text(), nullable=True),
        sa.Column("cancelled", sa.Boolean(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("import_row", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_deliveries_import_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["supplier_id"],
            ["suppliers.id"],
            name=op.f("fk_deliveries_supplier_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deliveries")),
    )
    op.create_index(op.f("ix_deliveries_supplier_id"), "deliveries", ["supplier_id"], unique=False)
    op.create_table(
        "inquiries",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("started_at", sa.Text(), nullable=False),
        sa.Column("fragments", sa.Text(), nullable=False),
        sa.Column("family", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=True),
        sa.Column("position_id", sa.Text(), nullable=True),
        sa.Column("answers", sa.Text(), nullable=False),
        sa.Column("ended_at", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["machine_id"],
            ["machines.id"],
            name=op.f("fk_inquiries_machine_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["position_id"],
            ["positions.id"],
            name=op.f("fk_inquiries_position_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inquiries")),
    )
    op.create_table(
        "offers",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("supplier_id", sa.Text(), nullable=False),
        sa.Column("part_id", sa.Text(), nullable=True),
        sa.Column("repair_of", sa.Text(), nullable=True),
        sa.Column("price_e4", sa.BigInteger(), nullable=False),
        sa.Column("price_currency", sa.Text(), nullable=False),
        sa.Column("stock", sa.Text(), nullable=False),
        sa.Column("lead_days_low", sa.BigInteger(), nullable=False),
        sa.Column("lead_days_high", sa.BigInteger(), nullable=False),
        sa.Column("pack", sa.BigInteger(), nullable=False),
        sa.Column("stock_units", sa.BigInteger(), nullable=True),
        sa.Column("quoted_on", sa.Text(), nullable=True),
        sa.Column("repair", sa.Boolean(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("import_row", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_offers_import_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["part_id"], ["parts.id"], name=op.f("fk_offers_part_id"), initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["supplier_id"],
            ["suppliers.id"],
            name=op.f("fk_offers_supplier_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_offers")),
    )
    op.create_index(op.f("ix_offers_part_id"), "offers", ["part_id"], unique=False)
    op.create_table(
        "position_values",
        sa.Column("position_id", sa.Text(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("truth", sa.Text(), nullable=False),
        sa.Column("attribute", sa.Text(), nullable=False),
        sa.Column("low", sa.Double(), nullable=True),
        sa.Column("high", sa.Double(), nullable=True),
        sa.Column("code", sa.Text(), nullable=True),
        sa.Column("qualifier", sa.Text(), nullable=False),
        sa.Column("variant", sa.Integer(), nullable=False),
        sa.Column("citation", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("confidence", sa.Double(), nullable=False),
        sa.Column("as_written", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["position_id"],
            ["positions.id"],
            name=op.f("fk_position_values_position_id"),
            ondelete="CASCADE",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.CheckConstraint(
            "truth = 'fitted' OR truth = 'drawing'", name=op.f("ck_position_values_truth_known")
        ),
        sa.PrimaryKeyConstraint("position_id", "ordinal", "truth", name=op.f("pk_position_values")),
    )
    op.create_table(
        "services",
        sa.Column("supplier_id", sa.Text(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("cut_off", sa.Text(), nullable=False),
        sa.Column("handling_days_low", sa.BigInteger(), nullable=False),
        sa.Column("handling_days_high", sa.BigInteger(), nullable=False),
        sa.Column("transit_days_low", sa.BigInteger(), nullable=False),
        sa.Column("transit_days_high", sa.BigInteger(), nullable=False),
        sa.Column("freight_e4", sa.BigInteger(), nullable=False),
        sa.Column("freight_currency", sa.Text(), nullable=False),
        sa.Column("collect", sa.Boolean(), nullable=False),
        sa.Column("customs_days_low", sa.BigInteger(), nullable=False),
        sa.Column("customs_days_high", sa.BigInteger(), nullable=False),
        sa.Column("delivers", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["supplier_id"],
            ["suppliers.id"],
            name=op.f("fk_services_supplier_id"),
            ondelete="CASCADE",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("supplier_id", "ordinal", name=op.f("pk_services")),
    )
    op.create_table(
        "temporaries",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("position_id", sa.Text(), nullable=True),
        sa.Column("part_ids", sa.Text(), nullable=False),
        sa.Column("fitted_at", sa.Text(), nullable=False),
        sa.Column("replace_by", sa.Text(), nullable=False),
        sa.Column("stated_hours", sa.Double(), nullable=True),
        sa.Column("conditions", sa.Text(), nullable=False),
        sa.Column("removed_on", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["position_id"],
            ["positions.id"],
            name=op.f("fk_temporaries_position_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_temporaries")),
    )
    op.create_table(
        "measurements",
        sa.Column("inquiry_id", sa.Text(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("attribute", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("sd", sa.Double(), nullable=False),
        sa.Column("tool", sa.Text(), nullable=False),
        sa.Column("as_written", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["inquiry_id"],
            ["inquiries.id"],
            name=op.f("fk_measurements_inquiry_id"),
            ondelete="CASCADE",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("inquiry_id", "ordinal", name=op.f("pk_measurements")),
    )
    op.create_table(
        "wanted",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Text(), nullable=True),
        sa.Column("inquiry_id", sa.Text(), nullable=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("install_hours", sa.Double(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.Column("exists", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["inquiry_id"],
            ["inquiries.id"],
            name=op.f("fk_wanted_inquiry_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["job_id"], ["jobs.id"], name=op.f("fk_wanted_job_id"), initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_wanted")),
    )
    op.create_index(op.f("ix_wanted_job_id"), "wanted", ["job_id"], unique=False)
    op.create_table(
        "ordered_plans",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("probability", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["id"], ["jobs.id"], name=op.f("fk_ordered_plans_id"), initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ordered_plans")),
    )
    op.create_table(
        "planned_lines",
        sa.Column("plan_id", sa.Text(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("option", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("p_in_time", sa.Double(), nullable=False),
        sa.Column("order_by", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["plan_id"],
            ["ordered_plans.id"],
            name=op.f("fk_planned_lines_plan_id"),
            ondelete="CASCADE",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("plan_id", "ordinal", name=op.f("pk_planned_lines")),
    )
    op.create_table(
        "fetches",
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("etag", sa.Text(), nullable=False),
        sa.Column("modified", sa.Text(), nullable=False),
        sa.Column("fetched_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("address", name=op.f("pk_fetches")),
    )
    op.create_table(
        "settlements",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("designation", sa.Text(), nullable=False),
        sa.Column("attribute", sa.Text(), nullable=False),
        sa.Column("qualifier", sa.Text(), nullable=False),
        sa.Column("variant", sa.BigInteger(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("settled_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_settlements")),
    )
    op.create_table(
        "successions",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("plain", sa.Text(), nullable=False),
        sa.Column("to_maker", sa.Text(), nullable=False),
        sa.Column("to_number", sa.Text(), nullable=False),
        sa.Column("to_plain", sa.Text(), nullable=False),
        sa.Column("since", sa.Text(), nullable=True),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("import_row", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_successions_import_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_successions")),
    )
    op.create_index(op.f("ix_successions_plain"), "successions", ["plain"], unique=False)
    op.create_index(op.f("ix_successions_to_plain"), "successions", ["to_plain"], unique=False)


def downgrade() -> None:
    """Back to nothing."""
    op.drop_index(op.f("ix_successions_to_plain"), table_name="successions")
    op.drop_index(op.f("ix_successions_plain"), table_name="successions")
    op.drop_table("successions")
    op.drop_table("settlements")
    op.drop_table("fetches")
    op.drop_table("planned_lines")
    op.drop_table("ordered_plans")
    op.drop_index(op.f("ix_wanted_job_id"), table_name="wanted")
    op.drop_table("wanted")
    op.drop_table("measurements")
    op.drop_table("temporaries")
    op.drop_table("services")
    op.drop_table("position_values")
    op.drop_index(op.f("ix_offers_part_id"), table_name="offers")
    op.drop_table("offers")
    op.drop_table("inquiries")
    op.drop_index(op.f("ix_deliveries_supplier_id"), table_name="deliveries")
    op.drop_table("deliveries")
    op.drop_table("decisions")
    op.drop_table("attribute_values")
    op.drop_index(op.f("ix_aliases_plain"), table_name="aliases")
    op.drop_table("aliases")
    op.drop_table("suppliers")
    op.drop_index(op.f("ix_positions_machine_id"), table_name="positions")
    op.drop_table("positions")
    op.drop_index(op.f("ix_parts_plain"), table_name="parts")
    op.drop_index(op.f("ix_parts_family"), table_name="parts")
    op.drop_table("parts")
    op.drop_table("jobs")
    op.drop_table("shop")
    op.drop_table("meta")
    op.drop_table("machines")
    op.drop_index(op.f("ix_imports_source"), table_name="imports")
    op.drop_table("imports")
