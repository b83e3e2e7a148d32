"""A paper page by page: saved, or printed at its true size. The subject is "job sheet:12"."""

from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.papers import PaperBytes
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.papers import (
    ON_ROLL_OR_SHEET,
    PaperName,
    file_stem,
    letters_sentence,
    maker,
    paper_name,
)
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.pdf_view import PdfView
from shopdesk.ui.widgets.segments import Segments

ROLL, SHEET = "roll", "sheet"


class PaperScreen(Screen):
    """Shows one paper; a sticker or label on the label roll or on a sheet."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Paper"))
        self._work = work
        self._name: PaperName | None = None
        self.letters = WarningLine(desk.look, _("Please note"))
        self.media = Segments(
            desk.look, _("Print on"), [(ROLL, _("Label roll")), (SHEET, _("Sheet of paper"))]
        )
        self.media.hide()
        self.media.chosen.connect(lambda _key: self.refresh())
        self.view = PdfView(desk.look, desk.background, desk.ask, desk.printing, bare=True)
        self.view.said.connect(desk.notices.tell)
        self.column.addWidget(self.media)
        self.column.addWidget(self.letters)
        self.column.addWidget(self.view, 1)
        self.commands = {Verb.PRINT: self.view.print_paper}

    def open_at(self, subject: str) -> None:
        """Show the paper that the subject names."""
        self.subject = subject
        self.view.clear(_("The paper is being made…"))
        self.letters.show_warning("")
        try:
            self._name = paper_name(subject)
        except RuleBroken as refusal:
            self._refused(refusal)
            return
        self.media.setVisible(self._name.kind in ON_ROLL_OR_SHEET)
        self.set_heading(self._name.title())
        self.refresh()

    def refresh(self) -> None:
        """Make the paper again from what is kept now."""
        if self._name is None:
            return
        on_sheet = self.media.choice() == SHEET
        make = maker(self._work.rooms, self._name, on_sheet=on_sheet)
        self.desk.background.paper(self, "paper", make, self._show, self._refused)

    def focus_first(self) -> None:
        """The pages come first: they scroll by the keyboard."""
        self.view.setFocus()

    def _show(self, paper: PaperBytes) -> None:
        if self._name is not None:
            self.set_heading(self._name.title(), paper.name)
        self.letters.show_warning(letters_sentence(paper))
        self.view.show_pdf(paper.content, file_stem(paper))
        others = [PageAction(words=_("Save"), do=self.view.save, icon="save")]
        if self._name is not None and self._name.kind.startswith("service record"):
            number = str(self._name.subject_id)
            others.append(
                PageAction(
                    words=_("Second opinion"), do=lambda: self.desk.ways.go("verify", number), icon="check"
                )
            )
        self.set_actions(PageAction(words=_("Print"), do=self.view.print_paper, icon="printer"), *others)

    def _refused(self, refusal: RuleBroken) -> None:
        self._name = None
        self.set_actions(None)
        self.view.clear(refusal.sentence)
