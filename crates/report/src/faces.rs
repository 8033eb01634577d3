//! The faces that reports are set in: Liberation Sans and Mono 2.1.5 (SIL Open Font License 1.1, `reports/fonts/OFL.txt`). They stand in the
//! program, so that the same report has the same lines and bytes on every machine.

use paper::Fonts;

/// The shipped faces.
pub(crate) const FACES: Fonts<'static> = Fonts {
    regular: include_bytes!("../../../reports/fonts/LiberationSans-Regular.ttf"),
    bold: include_bytes!("../../../reports/fonts/LiberationSans-Bold.ttf"),
    italic: include_bytes!("../../../reports/fonts/LiberationSans-Italic.ttf"),
    mono: include_bytes!("../../../reports/fonts/LiberationMono-Regular.ttf"),
};
