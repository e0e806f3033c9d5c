"""Messy sheets, invented, each of another layout. A row of a sheet is what a person typed; nothing here is
a real list.

Each sheet comes with what must be made of its rows: row number -> (state, CAS RN that must be held or "",
part of
amount, containers, day received or "").
"""

import io
import zipfile
from datetime import date, datetime
from xml.sax.saxutils import escape

import openpyxl

R, Q, OUT = "ready", "question", "left_out"


def uk_csv() -> bytes:
    """Title lines, headings of sections, British spelling and dates, ditto marks, a total."""
    return b"""Riverside School - chemical stock,,,,,,
Last stock check: Sept 2023,,,,,,
,,,,,,
Chemical,CAS No.,Conc/Grade,Size,Qty,Location,Date purchased
CABINET 3 (ACIDS),,,,,,
Hydrochloric acid,7647-01-0,conc. 37%,2.5 L,2,Shelf 1,14/03/2022
Hydrochloric acid,7647-01-0,2M,1L,3,Shelf 1,03/04/2023
Sulphuric acid conc.,7664-93-9,,2.5L,1,",12/11/2019
Nitric Acid,7697-37-3,70%,500ml,1,Shelf 2,
Acetic acid glacial,64-19-7,,1 L,1,Shelf 2,Mar 2020
,,,,,,
SALTS,,,,,,
Copper sulphate pentahydrate,7758-99-8,,500 g,2,Shelf 4,15-Jan-24
Copper sulphate,7758-98-7,,250g,1,Shelf 4,2021
Sodium chloride,7647-14-5,,1kg,1,Shelf 4,
Potassium iodide,7681-52-9,,100g,1,Shelf 4,
Pot. permanganate,7722-64-7,,5 x 100 g,,Shelf 5,05/06/21
Magnesium ribbon,7439-95-4,,25 g,1,Shelf 6,
Calcium chloride anhydrous,,,500g,1,Shelf 6,
Cobalt nitrate hexahydrate,10026-22-9,,100g,1,Shelf 6,
Phenolphthalein,77-09-8,1% in ethanol,250 ml,1,Shelf 7,
Lugol's iodine,,,100 mL,2,Shelf 7,
Total,,,,21,,
"""


UK = {
    **dict.fromkeys((1, 2, 3, 4, 5, 11, 12, 23), (OUT, "", "", 0, "")),
    6: (R, "7647-01-0", "2.5 L", 2, "2022-03-14"),
    7: (R, "7647-01-0", "1 L", 3, "2023-04-03"),
    8: (R, "7664-93-9", "2.5 L", 1, "2019-11-12"),
    9: (Q, "", "500 mL", 1, ""),
    10: (R, "64-19-7", "1 L", 1, "2020-03-01"),
    13: (R, "7758-99-8", "500 g", 2, "2024-01-15"),
    14: (R, "7758-98-7", "250 g", 1, "2021-01-01"),
    15: (R, "7647-14-5", "1 kg", 1, ""),
    16: (Q, "", "100 g", 1, ""),
    17: (R, "7722-64-7", "100 g", 5, "2021-06-05"),
    18: (R, "7439-95-4", "25 g", 1, ""),
    19: (R, "10043-52-4", "500 g", 1, ""),
    20: (R, "10026-22-9", "100 g", 1, ""),
    21: (R, "77-09-8", "250 mL", 1, ""),
    22: (R, "7553-56-2", "100 mL", 2, ""),
}


def us_semicolon() -> bytes:
    """Semicolons, Windows letters, month first with two-digit years, unit in a column of its own, price
    and lot."""
    return """Item;Formula;Strength;Qty;Unit;Bottles;Room;Cabinet;Shelf;Rec'd;Vendor;Lot #;Price
Hydrochloric Acid;HCl;6 M;500;mL;2;214;B;1;3/14/22;Invented Supply;A-1;$12.50
Sodium Hydroxide Pellets;NaOH;;500;g;1;214;C;2;11/2/21;Invented Supply;A-2;$9
Copper(II) Sulfate;CuSO4\xb75H2O;;454;g;1;214;C;2;8/30/2019;;;
Aluminum Foil;Al;;1;roll;1;214;C;3;;;;
Aluminum powder;Al;;100;g;1;214;C;3;1/5/20;;;
Ethanol;C2H5OH;95%;1;gal;1;Flammables;;;9/1/23;;;
Silver Nitrate;AgNO3;0.1 M;100;mL;1;214;D;1;10/25/23;;;
Hydrogen Peroxide;H2O2;3%;1;L;2;214;D;1;;;;
Zinc metal, mossy;Zn;;250;g;1;214;D;2;;;;
Potassium dichromate;K2CrO4;;100;g;1;214;D;2;;;;
Iron chloride;;;250;g;1;214;D;2;;;;
;;;;;;;;;;;;
Ammonium hydroxide;NH4OH;conc;500;mL;1;Hood;;;;;;
Grand total;;;;;15;;;;;;;
""".encode("cp1252")


US = {
    **dict.fromkeys((1, 13, 15), (OUT, "", "", 0, "")),
    2: (R, "7647-01-0", "500 mL", 2, "2022-03-14"),
    3: (R, "1310-73-2", "500 g", 1, "2021-11-02"),
    4: (R, "7758-99-8", "454 g", 1, "2019-08-30"),
    5: (Q, "", "", 1, ""),
    6: (R, "7429-90-5", "100 g", 1, "2020-01-05"),
    7: (R, "64-17-5", "1 gal", 1, "2023-09-01"),
    8: (R, "7761-88-8", "100 mL", 1, "2023-10-25"),
    9: (R, "7722-84-1", "1 L", 2, ""),
    10: (R, "7440-66-6", "250 g", 1, ""),
    11: (Q, "", "100 g", 1, ""),
    12: (Q, "", "250 g", 1, ""),
    14: (R, "7664-41-7", "500 mL", 1, ""),
}


def workbook() -> bytes:
    """Real dates, numbers as numbers, a place merged over rows, the heading in row 6, columns that start
    at C."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["C2"] = "Prep room inventory"
    sheet["C4"] = "counted by M. and J., please correct in red"
    rows = [
        ["Where", "Substance", "CAS RN", "Amount (g)", "No. of containers", "Date received", "Best before"],
        ["Shelf A", "sodium hydrogen carbonate", "144-55-8", 500, 2, date(2023, 5, 2), date(2028, 5, 2)],
        [None, "Sodium thiosulphate 5H2O", "10102-17-7", 250, 1, datetime(2022, 9, 1), None],
        [None, "KNO3", None, 1000, 1, None, None],
        [None, "barium chloride dihydrate", "10326-27-9", 100, 1, None, None],
        ["Poisons (locked)", "lead nitrate", "10099-74-8", 250, 1, date(2015, 1, 20), None],
        ["Poisons (locked)", "mercury", "7439-97-6", 50, 1, None, None],
        ["Poisons (locked)", "Potassium chromate", "7789-00-6", 100, 1, date(2031, 1, 1), None],
        ["Shelf B", "Ammonium iron(II) sulfate", "7783-85-9", 250, 1, None, None],
        ["Shelf B", "D-glucose", "50-99-7", 1000, 1, None, None],
        ["Shelf B", "Strontium chloride hexahydrate", "10025-70-4", 100, 1, None, None],
        ["Shelf B", "Sodium sulfite", "7757-82-6", 500, 1, None, None],
        ["Shelf B", "Zinc sulfate heptahydrate", "7733-02-0", 500, 1, None, None],
        [None, "Sum", None, 5000, 13, None, None],
    ]
    for at, row in enumerate(rows):
        for column, value in enumerate(row):
            sheet.cell(6 + at, 3 + column, value)
    sheet.merge_cells("C7:C10")
    return _saved(book)


WORKBOOK = {
    **dict.fromkeys((1, 2, 3, 4, 5, 6, 19), (OUT, "", "", 0, "")),
    7: (R, "144-55-8", "500 g", 2, "2023-05-02"),
    8: (R, "10102-17-7", "250 g", 1, "2022-09-01"),
    9: (R, "7757-79-1", "1000 g", 1, ""),
    10: (R, "10326-27-9", "100 g", 1, ""),
    11: (R, "10099-74-8", "250 g", 1, "2015-01-20"),
    12: (R, "7439-97-6", "50 g", 1, ""),
    13: (Q, "7789-00-6", "100 g", 1, ""),
    14: (R, "7783-85-9", "250 g", 1, ""),
    15: (R, "50-99-7", "1000 g", 1, ""),
    16: (R, "10025-70-4", "100 g", 1, ""),
    17: (Q, "", "500 g", 1, ""),
    18: (Q, "", "500 g", 1, ""),
}


def no_heading() -> bytes:
    """Tabs, UTF-16, no heading at all."""
    return "\n".join(
        [
            "acetone\t67-64-1\t2.5 L\tflammables",
            "propan-2-ol\t67-63-0\t1 L\tflammables",
            "cyclohexane\t110-82-7\t500 mL\tflammables",
            "toluene\t108-88-3\t500 mL\tflammables",
            "methanol\t67-56-1\t1 L\tflammables",
            "cyclohexene\t110-82-7\t100 mL\tflammables",
            "pentan-1-ol\t71-41-0\t250 mL\tflammables",
            "dichlormethane\t75-09-2\t1 L\tflammables",
        ]
    ).encode("utf-16")


BARE = {
    1: (R, "67-64-1", "2.5 L", 1, ""),
    2: (R, "67-63-0", "1 L", 1, ""),
    3: (R, "110-82-7", "500 mL", 1, ""),
    4: (R, "108-88-3", "500 mL", 1, ""),
    5: (R, "67-56-1", "1 L", 1, ""),
    6: (Q, "", "100 mL", 1, ""),
    7: (R, "71-41-0", "250 mL", 1, ""),
    8: (R, "75-09-2", "1 L", 1, ""),
}


def open_document() -> bytes:
    """An .ods with decimal commas, dates with points, names that hold the amount."""
    rows = [
        ["Chemical store 2", "", "", ""],
        ["What", "Supplier", "Bought", "Remarks"],
        ["Hydrochloric acid 2 mol/l, 1 L", "Invented Ltd", "24.12.2021", ""],
        ["Ammonia solution 25% 2,5 L", "Invented Ltd", "03.02.2022", "smells"],
        ["Sodium hydroxide 0,1 M 1L", "own", "11.2023", ""],
        ["Sulfuric acid 0.5M 500ml", "own", "01.09.2023", ""],
        ["Universal indicator 250 mL", "", "", "opened"],
        ["Calcium carbonate, marble chips 1kg", "", "", ""],
        ["Zinc granulated 500g", "", "", ""],
        ["Benedict's solution 500 mL", "own", "15.01.2024", ""],
        ["Bunsen burners 12 pcs", "", "", ""],
        ["Checked by R.", "", "", ""],
    ]
    return _ods(rows)


ODS = {
    **dict.fromkeys((1, 2, 12), (OUT, "", "", 0, "")),
    3: (R, "7647-01-0", "1 L", 1, "2021-12-24"),
    4: (R, "7664-41-7", "2.5 L", 1, "2022-02-03"),
    5: (R, "1310-73-2", "1 L", 1, "2023-11-01"),
    6: (R, "7664-93-9", "500 mL", 1, "2023-09-01"),
    7: (R, "", "250 mL", 1, ""),
    8: (R, "471-34-1", "1 kg", 1, ""),
    9: (R, "7440-66-6", "500 g", 1, ""),
    10: (R, "7758-98-7", "500 mL", 1, "2024-01-15"),
    11: (Q, "", "", 1, ""),
}


def by_cabinet() -> bytes:
    """A sheet for each cabinet, columns in another order, the heading repeated in the middle, crossed-out
    words."""
    book = openpyxl.Workbook()
    first = book.active
    first.title = "Cabinet 1"
    heading = ["#", "Qty", "Pack size", "Name of chemical", "CAS", "Hazard"]
    rows = [
        heading,
        [1, 1, "500G", "POTASSIUM CHLORIDE", "7447-40-7", ""],
        [2, 2, "100 g", "Potassium bromate", "7758-01-2", "oxidiser"],
        [3, 1, "25g", "Iodine, resublimed", "7553-56-2", ""],
        heading,
        [4, 1, "250 g", "Ferric chloride hexahydrate", "10025-77-1", ""],
        [5, 4, "50 g", "sodium iodate", "7681-55-2", ""],
        [6, 1, "1 lb", "Boric acid", "10043-35-3", ""],
        [7, 1, "100 g", "Potasium thiocyanate", "333-20-0", ""],
        [8, 1, "100 g", "Thiourea", "62-56-6", ""],
    ]
    for row in rows:
        first.append(row)
    second = book.create_sheet("Cabinet 2 flammables")
    for row in [
        heading,
        [1, 1, "1 L", "Ethyl acetate", "141-78-6", "F"],
        [2, 1, "2.5 L", "meths", "", "F"],
        [3, 3, "500 mL", "Petroleum ether 40-60", "8032-32-4", "F"],
        [4, 1, "500 mL", "n-hexane", "110-54-3", "F"],
    ]:
        second.append(row)
    book.create_sheet("Read me").append(["Please keep this file up to date."])
    return _saved(book)


CABINETS = {
    ("Cabinet 1", 1): (OUT, "", "", 0, ""),
    ("Cabinet 1", 2): (R, "7447-40-7", "500 g", 1, ""),
    ("Cabinet 1", 3): (R, "7758-01-2", "100 g", 2, ""),
    ("Cabinet 1", 4): (R, "7553-56-2", "25 g", 1, ""),
    ("Cabinet 1", 5): (OUT, "", "", 0, ""),
    ("Cabinet 1", 6): (R, "10025-77-1", "250 g", 1, ""),
    ("Cabinet 1", 7): (R, "7681-55-2", "50 g", 4, ""),
    ("Cabinet 1", 8): (R, "10043-35-3", "1 lb", 1, ""),
    ("Cabinet 1", 9): (R, "333-20-0", "100 g", 1, ""),
    ("Cabinet 1", 10): (R, "62-56-6", "100 g", 1, ""),
    ("Cabinet 2 flammables", 1): (OUT, "", "", 0, ""),
    ("Cabinet 2 flammables", 2): (R, "141-78-6", "1 L", 1, ""),
    ("Cabinet 2 flammables", 3): (R, "64-17-5", "2.5 L", 1, ""),
    ("Cabinet 2 flammables", 4): (R, "8032-32-4", "500 mL", 3, ""),
    ("Cabinet 2 flammables", 5): (R, "110-54-3", "500 mL", 1, ""),
    ("Read me", 1): (OUT, "", "", 0, ""),
}


def one_word_columns() -> bytes:
    """Pipes, the amount and its unit apart, places in one cell, years only, worded numbers of bottles."""
    return b"""sep=|
Reagent|Conc|Vol/Mass|UOM|Containers|Stored|Year
Lead acetate||100|g|1|Locked / 2|2012
Potassium ferricyanide||250|grams|1 bottle|Wall shelf 2|2018
sodium acetate trihydrate||500|g|2|Wall shelf 2|2019
Sulfuric acid|18M|1|litre|1|Acid cab|2020
Sulfuric acid|3 mol/L|1|L|2 bottles|Acid cab|2022
Phosphoric acid|85%|500|ml|1|Acid cab|2020
Nitric acid||500|ml|1|Acid cab|2020
Glycerol||1|litre|1|Wall shelf 3|2021
Methylene blue|0.1%|100|ml|1|Wall shelf 3|2021
NaOH|1N|500|mL|1|Wall shelf 1|2023
H2SO4|1N|500|mL|1|Wall shelf 1|2023
Bromothymol blue|0.04%|100|ml|1|Wall shelf 3|2023
"""


PIPES = {
    **dict.fromkeys((1, 2), (OUT, "", "", 0, "")),
    3: (R, "6080-56-4", "100 g", 1, "2012-01-01"),
    4: (R, "13746-66-2", "250 g", 1, "2018-01-01"),
    5: (R, "6131-90-4", "500 g", 2, "2019-01-01"),
    6: (R, "7664-93-9", "1 L", 1, "2020-01-01"),
    7: (R, "7664-93-9", "1 L", 2, "2022-01-01"),
    8: (R, "7664-38-2", "500 mL", 1, "2020-01-01"),
    9: (Q, "7697-37-2", "500 mL", 1, "2020-01-01"),
    10: (R, "56-81-5", "1 L", 1, "2021-01-01"),
    11: (R, "61-73-4", "100 mL", 1, "2021-01-01"),
    12: (R, "1310-73-2", "500 mL", 1, "2023-01-01"),
    13: (Q, "7664-93-9", "500 mL", 1, "2023-01-01"),
    14: (R, "76-59-5", "100 mL", 1, "2023-01-01"),
}


def _saved(book) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _ods(rows) -> bytes:
    cells = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="string"><text:p>{escape(cell)}</text:p></table:table-cell>'
            if cell
            else "<table:table-cell/>"
            for cell in row
        )
        + "</table:table-row>"
        for row in rows
    )
    names = "urn:oasis:names:tc:opendocument:xmlns:"
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="{names}office:1.0" '
        f'xmlns:table="{names}table:1.0" xmlns:text="{names}text:1.0"><office:body><office:spreadsheet>'
        f'<table:table table:name="Store">{cells}</table:table></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", "<manifest/>")
    return out.getvalue()


SHEETS = {
    "UK list with sections": (uk_csv, UK),
    "US list with semicolons": (us_semicolon, US),
    "workbook with merged places": (workbook, WORKBOOK),
    "no heading, UTF-16": (no_heading, BARE),
    "OpenDocument, amounts in names": (open_document, ODS),
    "a sheet for each cabinet": (by_cabinet, CABINETS),
    "pipes and years": (one_word_columns, PIPES),
}
