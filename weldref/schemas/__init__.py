"""The tables of weldref as pandera models."""
