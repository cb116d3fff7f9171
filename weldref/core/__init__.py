"""How an answer is made: words, gases, units, the situation, the rows that apply, the verdict."""
