//! Columns of text.

/// Which way a column leans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Rows set in columns, two blanks between them. The first row is the heading.
pub fn table<const N: usize>(lean: [Lean; N], rows: &[[String; N]]) -> String {
    let wide = |i: usize| rows.iter().map(|row| row[i].chars().count()).max().unwrap_or(0);
    let widths: [usize; N] = std::array::from_fn(wide);
    let mut text = String::new();
    for row in rows {
        let mut line = String::new();
        for ((cell, width), lean) in row.iter().zip(widths).zip(lean) {
            line += &match lean {
                Lean::Left => format!("  {cell:<width$}"),
                Lean::Right => format!("  {cell:>width$}"),
            };
        }
        text += line.trim_end();
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let rows = [["no", "layer"], ["1", "CUT"], ["12", "é"]].map(|r| r.map(str::to_owned));
        assert_eq!(table([Lean::Right, Lean::Left], &rows), "  no  layer\n   1  CUT\n  12  é\n");
    }
}
