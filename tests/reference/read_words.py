"""Words over the staff as the Python package music21 reads them: for each file given its first part, one line a text,
with the place of its bar from 0, quarter notes into the bar, and the text, parted by tabs."""

import sys

from music21 import converter, expressions

for index, path in enumerate(sys.argv[1:]):
    part = converter.parse(path, forceSource=True).parts[0]
    for number, bar in enumerate(part.getElementsByClass("Measure")):
        for words in bar.recurse().getElementsByClass(expressions.TextExpression):
            print(index, number, words.getOffsetInHierarchy(bar), words.content, sep="\t")
