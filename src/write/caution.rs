//! The usual cautions, as they stand on everything printed for a customer.

use maud::{Markup, html};

/// The list. Heat is in it always: edges are set with it even where nothing is stretched.
pub(super) fn cautions() -> Markup {
    html! {
        ul class="cautions" {
            li { "Blades are sharp: cut away from the hand, cap the knife." }
            li { "Cleaner is flammable: ventilate, keep it away from heat and sparks, put rags into a closed metal can." }
            li { "Hot film and a hot tool burn. Paper tubes and plastic noses soften long before film is ruined: keep the heat moving." }
            li { "Film adds mass and can move the centre of gravity: weigh and balance the finished rocket again." }
            li { "Vent holes, rail guides and joints that come apart in flight stay free. No panel bridges such a joint." }
            li { "The safety code and the range officer in charge have the last word." }
        }
    }
}
