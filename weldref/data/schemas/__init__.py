"""The tables of weldref as pandera models."""

import warnings

# pandera imports pyspark where that is installed; the tables are never asked of Spark.
warnings.filterwarnings("ignore", "PySpark does not yet fully support pandas", FutureWarning)
