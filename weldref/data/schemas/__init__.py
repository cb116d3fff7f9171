"""The tables of weldref: what is declared of them, and how they are checked."""

import warnings

# pandera imports pyspark where that is installed; the tables are never asked of Spark.
warnings.filterwarnings("ignore", "PySpark does not yet fully support pandas", FutureWarning)
