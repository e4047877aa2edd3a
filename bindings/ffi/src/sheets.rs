//! Pages to hand over, as plain text, HTML and PDF.

use crate::mirror::mirror;
use crate::{Instrument, Moment, Result, Role, SetupId, VisitId, voice};

mirror! {
    /// The size of a sheet of paper.
    closed Paper = fallaway::sheet::Paper {
        /// 210 mm by 297 mm.
        A4,
        /// 8.5 in by 11 in.
        Letter,
    }
}

impl Paper {
    const fn typed(self) -> fallaway::sheet::Paper {
        match self {
            Self::A4 => fallaway::sheet::Paper::A4,
            Self::Letter => fallaway::sheet::Paper::Letter,
        }
    }
}

/// For whom a page is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum SheetKind {
    /// Who takes the instrument home: as found, wanted, as left, what was done, what to watch.
    Customer,
    /// Whoever sets it up next: large numbers, for the lid of the case.
    Bench,
}

/// A page to hand over, in the language and units that were set.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SheetTexts {
    /// What it is of.
    pub title: String,
    /// What it is, and of when.
    pub subtitle: String,
    /// As plain text, for a message.
    pub text: String,
    /// As one HTML file that loads nothing and prints well, drawings in it.
    pub html: String,
}

/// An invitation to be printed on a page. Whoever sees the page can use it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SheetInvitation {
    /// The text of its code, as `invite` gave it.
    pub code: String,
    /// Its words, as `invite` gave them.
    pub words: String,
    /// The role that it was made for.
    pub role: Role,
    /// Until when it can be used.
    pub expires: Moment,
}

fn page(
    of: &Instrument,
    kind: SheetKind,
    visit: Option<VisitId>,
    setup: Option<&SetupId>,
    invitation: Option<SheetInvitation>,
) -> Result<fallaway::sheet::SheetPage> {
    of.voice.is_asked();
    let (setup, voice) = (setup.map(|id| &id.0), voice::voice());
    let page = match kind {
        SheetKind::Customer => of.inner().customer_sheet(visit.map(|id| id.0), setup, &voice)?,
        SheetKind::Bench => of.inner().bench_sheet(setup, &voice)?,
    };
    let Some(invitation) = invitation else { return Ok(page) };
    let invitation = fallaway::sheet::SheetInvitation {
        code: invitation.code,
        words: invitation.words,
        writes: invitation.role != Role::Viewer,
        expires: invitation.expires.typed()?,
    };
    Ok(page.inviting(&invitation, &voice).map_err(fallaway::Error::from)?)
}

#[uniffi::export]
impl Instrument {
    /// A page to hand over, as plain text and as HTML for this paper (A4 if none is named). A customer's
    /// is of a visit, the last one if none is named, judged by the targets that stood then. An invitation
    /// that is given stands on it as a code and in words, with the caution that whoever sees it can use it.
    ///
    /// # Errors
    /// `NotFound` for a visit or setup that the instrument does not have; `Refused` where the code's text is
    /// too long; when the record cannot be read; `Closed`.
    #[uniffi::method(default(visit = None, setup = None, paper = None, invitation = None))]
    pub fn sheet(
        &self,
        kind: SheetKind,
        visit: Option<VisitId>,
        setup: Option<SetupId>,
        paper: Option<Paper>,
        invitation: Option<SheetInvitation>,
    ) -> Result<SheetTexts> {
        let page = page(self, kind, visit, setup.as_ref(), invitation)?;
        let paper = paper.unwrap_or(Paper::A4).typed();
        let (text, html) =
            (fallaway::sheet::sheet_text(&page), fallaway::sheet::sheet_html(&page, paper));
        Ok(SheetTexts { title: page.title, subtitle: page.subtitle, text, html })
    }
}

#[cfg(feature = "pdf")]
#[uniffi::export]
impl Instrument {
    /// The same as a PDF: tagged, its font in it, its texts to be selected. The library for phones does
    /// not have it: what prints there takes the HTML.
    ///
    /// # Errors
    /// As `sheet`.
    #[uniffi::method(default(visit = None, setup = None, paper = None, invitation = None))]
    pub fn sheet_pdf(
        &self,
        kind: SheetKind,
        visit: Option<VisitId>,
        setup: Option<SetupId>,
        paper: Option<Paper>,
        invitation: Option<SheetInvitation>,
    ) -> Result<Vec<u8>> {
        let page = page(self, kind, visit, setup.as_ref(), invitation)?;
        let paper = paper.unwrap_or(Paper::A4).typed();
        Ok(fallaway::sheet::sheet_pdf(&page, paper).map_err(fallaway::Error::from)?)
    }
}
