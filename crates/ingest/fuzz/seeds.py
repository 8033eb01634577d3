"""python seeds.py CORPUS OUT: first inputs of each target, from CORPUS (invented, kept with the code) and the heads of real files (RAINWORTH_DATA).

The first byte of an input chooses the reader of the target's family, so each text is written once for each choice."""
import os, pathlib, sys

FOLDERS = {
    "fixed_columns": ["ghcnd-dly", "eccc/A", "hadukp"],
    "ghcn_rows": ["ghcnd-by-station", "ghcnd-by-year"],
    "american_tables": ["ncei-access", "cdo-csv", "gsod"],
    "semicolon_tables": ["dwd", "meteo-france", "meteoswiss", "smhi"],
    "tables_with_preambles": ["ecad", "knmi", "met-eireann", "midas", "hko"],
    "plain_tables": ["eccc/en", "imgw"],
    "own_log": ["textbook"],
    "frequency_table": ["atlas14"],
    "sniff_and_read": [""],
}
CHOICES, HEAD = range(6), 6000
corpus, out = map(pathlib.Path, sys.argv[1:3])
data = os.environ.get("RAINWORTH_DATA")
files = []
if data:
    root = pathlib.Path(data)
    files = [(str(p.relative_to(root)), p.read_bytes()[:HEAD]) for p in sorted(root.rglob("*")) if p.is_file() and p.suffix not in (".py", ".json", ".md")]
for target, folders in FOLDERS.items():
    into = out / target
    into.mkdir(parents=True, exist_ok=True)
    kept = [(p.name, p.read_bytes()) for p in sorted((corpus / target).glob("*"))] if (corpus / target).is_dir() else []
    texts = [(name, head) for name, head in files if any(name.startswith(f) for f in folders)]
    for i, (name, text) in enumerate(kept):
        (into / f"kept-{i:03d}").write_bytes(text)
    for i, (name, text) in enumerate(texts):
        if target == "frequency_table":
            (into / f"real-{i:03d}").write_bytes(text)
            continue
        for choice in CHOICES if target != "sniff_and_read" else [0, 128]:
            (into / f"real-{i:03d}-{choice}").write_bytes(bytes([choice]) + text)
    if not any(into.iterdir()):
        (into / "empty").write_bytes(b"\0\n")
