'''The pages, one module or folder each. None knows another: they meet by name, over ``desk.ways``.

How a page is written. It gets the desk and its services, reads and writes through the lanes, and shows
frozen rows; it keeps no rule and no row of a table. ::

    class CustomersScreen(Screen):
        """Customers: type to filter, Enter opens one; a new one at the right."""

        def __init__(self, desk: Desk, customers: CustomerService) -> None:
            super().__init__(desk, _("Customers"))
            self._customers = customers
            self.form = Form(desk.look, columns=2)
            self.form.add(TextField(desk.look, "name", _("Name")))
            self.form.add(TextField(desk.look, "phone", _("Phone")))
            self.draft = desk.drafts.keep(self.form, "customer", "new", self)
            self.form.completed.connect(self.save)
            self.line = SearchLine(desk.look, _("Narrow the list"), _("Name, phone or plate"))
            self.table: RowTable[CustomerRow] = RowTable(
                desk.look,
                _("Customers"),
                [Column(title=_("Name"), text=lambda row: row.name, key="name", stretch=True, strong=True)],
                key=lambda row: row.id,
                empty=_("No customer fits."),
            )
            self.line.textChanged.connect(self._narrow)
            self.line.down.connect(self.table.setFocus)
            self.table.opened.connect(self._open)
            self.commands = {Verb.FILTER: self.line.setFocus}
            self.set_actions(PageAction(words=_("Save customer"), do=self.save, icon="check"))
            columns = Columns(desk.look)
            columns.add_main(self.line)
            columns.add_main(self.table, 1)
            columns.add_side(card_of(desk.look, _("New customer"), self.form))
            self.column.addWidget(columns)
            self.table.read_from(desk.background, customers.listed)   # RowsQuery -> frozen rows
            self.listen(Topic.CUSTOMERS)

        def refresh(self) -> None:
            self.table.refresh()

        def save(self) -> None:
            if self.form.check():
                command = AddCustomer(**self.form.texts())             # a frozen command, built here
                self.desk.background.write(
                    self, lambda: self._customers.add(command), self._saved, self.form.show_refusal,
                    changes=(Topic.CUSTOMERS,),
                )

        def _saved(self, added: CustomerAdded) -> None:
            self.draft.forget()
            self.form.fill(dict.fromkeys(self.form.texts(), ""))
            self.desk.notices.tell(_("{name} is kept.").format(name=added.name))

        def _open(self, row: CustomerRow) -> None:
            self.desk.ways.go("customer", str(row.id))

        def _narrow(self, text: str) -> None:
            self.table.ask(text=text)

Worth knowing:

* ``RuleBroken`` never needs catching: hand ``form.show_refusal`` (or nothing: then it is said over the page).
  A wrong sentence about no field of the form stands beneath the form. Any other error is a bug.
* Work handed to a lane runs on another thread: read every widget before, build the command, then hand over.
* Parts are made with their texts and put into a layout; never ``show()`` a part that has no parent.
* Connect bound methods, not lambdas, to signals that outlive the page (``look.changed``).
* Words come from ``gettext``; what people typed goes into ``PlainLabel`` or a cell, never into a tool tip.
'''
