"""Readings as a Parquet file: the columns of the CSV file, with types."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from lullwort.exporting.columns import Tabled, Written, column_names
from lullwort.exporting.wholefile import whole_file
from lullwort.records import Block
from lullwort.units import BatteryUnit

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["write_parquet"]


def write_parquet(path: Path, blocks: Iterable[Block], battery: BatteryUnit, *, overwrite: bool = False) -> Written:
    """Write readings; times are timestamps in µs, UTC, and what is not given is null.

    Args:    blocks, battery: as for a CSV file.
    Raises:  RefusedError, UsageError or SourceError as `whole_file` does.
    """
    from pyarrow import parquet

    table, schema = Tabled(battery), _schema(battery)
    with (
        whole_file(path, overwrite=overwrite) as part,
        part.open("xb") as file,
        parquet.ParquetWriter(file, schema, compression="zstd") as writer,
    ):
        for block in table.parts(blocks):
            writer.write_table(_table(block, schema))
    return table.written()


def _schema(battery: BatteryUnit) -> pa.Schema:
    import pyarrow as pa

    types = {"time": pa.timestamp("us", tz="UTC"), "vessel": pa.string(), "sensor": pa.string()}
    return pa.schema([(name, types.get(column, pa.float64())) for column, name in column_names(battery).items()])


def _table(block: Block, schema: pa.Schema) -> pa.Table:
    import pyarrow as pa

    columns = [
        block.at_us,
        pa.array(block.vessels).take(pa.array(block.vessel_codes)),
        block.gravity,
        block.temperature,
        pa.array(block.sensors).take(pa.array(block.sensor_codes)),
        block.battery,
        block.signal,
        block.inclination,
    ]
    # from_pandas: NaN means that there is no value.
    arrays = [
        pa.array(column, type=field.type, from_pandas=True) if not isinstance(column, pa.Array) else column
        for column, field in zip(columns, schema, strict=True)
    ]
    return pa.Table.from_arrays(arrays, schema=schema)
