"""The base in parts: sorted Parquet files in a folder or in object storage, made by many workers."""
