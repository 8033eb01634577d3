#!/usr/bin/env bash
# Runs each target for a while: run.sh SECONDS [SECONDS FOR sniff_and_read] [TARGET ...]. On stable Rust: the coverage comes from LLVM's own pass.
# The first inputs are the invented samples of ../tests/samples and, where RAINWORTH_DATA names them, the heads of real files; the corpus
# grows in $RAINWORTH_FUZZ_WORK. An input that breaks a reader is kept there in crashes/, and the script ends with 1.
# Cargo.lock is kept; when the readers' dependencies have changed: cargo update --workspace --manifest-path crates/ingest/fuzz/Cargo.toml
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
seconds=${1:-60}; long=${2:-$seconds}; shift $(( $# > 2 ? 2 : $# ))
work=${RAINWORTH_FUZZ_WORK:-/tmp/rainworth-fuzz}
export CARGO_TARGET_DIR=$work/target
export RUSTFLAGS="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares --cfg fuzzing -Ccodegen-units=1"
mkdir -p "$work"
cargo build --release --locked --manifest-path "$here/Cargo.toml" --target x86_64-unknown-linux-gnu
targets=${*:-$(cd "$here/src/bin" && ls | sed 's/\.rs$//')}
"${PYTHON:-python3}" "$here/seeds.py" "$here/../tests/samples" "$work/seeds"
broken=0
for target in $targets; do
  mkdir -p "$work/corpus/$target" "$work/crashes"
  time=$seconds; [ "$target" = sniff_and_read ] && time=$long
  echo "== $target, $time s"
  "$CARGO_TARGET_DIR/x86_64-unknown-linux-gnu/release/$target" "$work/corpus/$target" "$work/seeds/$target" \
    -max_total_time="$time" -timeout=10 -rss_limit_mb=1024 -max_len=65536 -print_final_stats=1 -artifact_prefix="$work/crashes/$target-" \
    >"$work/$target.log" 2>&1 || broken=1
  grep -v '^#.*\(REDUCE\|NEW\)' "$work/$target.log" | tail -15
done
exit $broken
