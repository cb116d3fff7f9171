"""Write practice sheets as an IMS QTI 2.1 package, the open standard of learning platforms.

A sheet is a section of one test. A ticket is a choice that the platform marks itself; a question
takes a number within the tolerance. The package holds the answers: it belongs beside the key.
"""

from __future__ import annotations

import io
import zipfile
from xml.etree import ElementTree as ET

from weldref.handouts.answers import ASK, RIGHT, WRONG, asked, expected
from weldref.handouts.arithmetic import TOLERANCE, Question
from weldref.handouts.practice_draw import Practice
from weldref.handouts.tickets import Ticket
from weldref.handouts.words import Words

QTI = "http://www.imsglobal.org/xsd/imsqti_v2p1"
PACKAGE = "http://www.imsglobal.org/xsd/imscp_v1p1"
CORRECT = "http://www.imsglobal.org/question/qti_v2p1/rptemplates/match_correct"
_MOMENT = (1980, 1, 1, 0, 0, 0)
"""A fixed time in the archive: the same sheets are the same file."""


def qti_package(made: Practice) -> bytes:
    """Write the package: a manifest, a test, and a file for each ticket and question."""
    files: dict[str, ET.Element] = {}
    test = ET.Element("assessmentTest", xmlns=QTI, identifier="test", title=made.title)
    part = ET.SubElement(
        test, "testPart", identifier="part", navigationMode="nonlinear", submissionMode="individual"
    )
    for sheet in made.sheets:
        name = f"sheet-{sheet.number}"
        section = ET.SubElement(
            part, "assessmentSection", identifier=name, title=f"{made.title} {sheet.number}",
            visible="true",
        )  # fmt: skip
        items = [
            _question_item(made.words, one)
            if isinstance(one, Question)
            else _ticket_item(made, one)
            for one, _ in sheet.asked
        ]
        for number, item in enumerate(items, 1):
            identifier = f"{name}-item-{number}"
            item.set("identifier", identifier)
            item.set("title", f"{sheet.number}.{number}")
            item.set("xml:lang", made.words.language)
            files[f"{identifier}.xml"] = item
            ET.SubElement(
                section, "assessmentItemRef", identifier=identifier, href=f"{identifier}.xml"
            )
    files = {"imsmanifest.xml": _manifest(files), "test.xml": test, **files}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for file, element in files.items():
            content = ET.tostring(element, encoding="utf-8", xml_declaration=True)
            archive.writestr(zipfile.ZipInfo(file, _MOMENT), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _manifest(files: dict[str, ET.Element]) -> ET.Element:
    manifest = ET.Element("manifest", xmlns=PACKAGE, identifier="practice")
    metadata = ET.SubElement(manifest, "metadata")
    ET.SubElement(metadata, "schema").text = "QTIv2.1 Package"
    ET.SubElement(metadata, "schemaversion").text = "1.0.0"
    ET.SubElement(manifest, "organizations")
    resources = ET.SubElement(manifest, "resources")
    test = ET.SubElement(
        resources, "resource", identifier="test", type="imsqti_test_xmlv2p1", href="test.xml"
    )
    ET.SubElement(test, "file", href="test.xml")
    for file in files:
        name = file.removesuffix(".xml")
        ET.SubElement(test, "dependency", identifierref=name)
        item = ET.SubElement(
            resources, "resource", identifier=name, type="imsqti_item_xmlv2p1", href=file
        )
        ET.SubElement(item, "file", href=file)
    return manifest


def _item(kind: str, value: str, base: str) -> ET.Element:
    """Begin an item: its answer and its score."""
    item = ET.Element("assessmentItem", xmlns=QTI, adaptive="false", timeDependent="false")
    response = ET.SubElement(
        item, "responseDeclaration", identifier="RESPONSE", cardinality="single", baseType=base
    )
    ET.SubElement(ET.SubElement(response, "correctResponse"), "value").text = value
    outcome = ET.SubElement(
        item, "outcomeDeclaration", identifier="SCORE", cardinality="single", baseType="float"
    )
    ET.SubElement(ET.SubElement(outcome, "defaultValue"), "value").text = "0"
    ET.SubElement(item, "itemBody").set("class", kind)
    return item


def _ticket_item(made: Practice, ticket: Ticket) -> ET.Element:
    say = made.words.say
    item = _item("ticket", expected(ticket), "identifier")
    body = item[-1]
    title, lines = asked(made.store, ticket, made.words)
    warning = say("Invented for practice: do not weld or cut by it.")
    for text in (title, *lines, warning):
        ET.SubElement(body, "p").text = text
    choice = ET.SubElement(
        body, "choiceInteraction", responseIdentifier="RESPONSE", shuffle="false", maxChoices="1"
    )
    ET.SubElement(choice, "prompt").text = say("Right, wrong, or what to ask")
    for answer in (RIGHT, WRONG, ASK):
        ET.SubElement(choice, "simpleChoice", identifier=answer).text = say(answer)
    ET.SubElement(item, "responseProcessing", template=CORRECT)
    return item


def _question_item(words: Words, question: Question) -> ET.Element:
    item = _item("question", question.answer, "float")
    body = item[-1]
    ET.SubElement(body, "p").text = words.say(question.message, **question.values)
    entry = ET.SubElement(body, "p")
    ET.SubElement(entry, "textEntryInteraction", responseIdentifier="RESPONSE", expectedLength="10")
    processing = ET.SubElement(item, "responseProcessing")
    condition = ET.SubElement(ET.SubElement(processing, "responseCondition"), "responseIf")
    equal = ET.SubElement(
        condition, "equal", toleranceMode="relative", tolerance=f"{TOLERANCE} {TOLERANCE}"
    )
    ET.SubElement(equal, "variable", identifier="RESPONSE")
    ET.SubElement(equal, "correct", identifier="RESPONSE")
    score = ET.SubElement(condition, "setOutcomeValue", identifier="SCORE")
    ET.SubElement(score, "baseValue", baseType="float").text = "1"
    return item
