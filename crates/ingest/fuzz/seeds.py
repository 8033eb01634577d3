"""python seeds.py SAMPLES OUT: first inputs of each target, from SAMPLES (invented, ../tests/samples) and the heads of real files (RAINWORTH_DATA).

The first byte of an input chooses the reader of the target's family, and its highest bit whether temperatures are wanted; so each text is
written once for each choice. Every sample goes to every family: a reader has to stand the files of its neighbours too."""
import gzip, io, os, pathlib, sys, zipfile

REAL = {
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
CHOICES, HEAD = 5, 6000
samples, out = map(pathlib.Path, sys.argv[1:3])
kept = [(p.name, p.read_bytes()) for p in sorted(samples.rglob("*")) if p.suffix in (".csv", ".dly", ".txt", ".bin")]
real = []
if os.environ.get("RAINWORTH_DATA"):
    root = pathlib.Path(os.environ["RAINWORTH_DATA"])
    real = [(str(p.relative_to(root)), p.read_bytes()[:HEAD]) for p in sorted(root.rglob("*")) if p.is_file() and p.suffix not in (".py", ".json", ".md")]


def packed(name, text):
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr(name, text)
        z.writestr("note.txt", "Invented records.\n")
    return [gzip.compress(text, mtime=0), archive.getvalue()]


for target, folders in REAL.items():
    into = out / target
    into.mkdir(parents=True, exist_ok=True)
    texts = kept + [(name, head) for name, head in real if any(name.startswith(f) for f in folders)]
    for i, (name, text) in enumerate(texts):
        if target == "frequency_table":
            variants = [text]
        elif target == "sniff_and_read":
            variants = [bytes([choice]) + t for choice in (0, 128) for t in [text, *packed(name, text)]]
        else:
            variants = [bytes([choice | 128 * temperatures]) + text for choice in range(CHOICES) for temperatures in (0, 1)]
        for j, variant in enumerate(variants):
            (into / f"{i:03d}-{j}").write_bytes(variant)
