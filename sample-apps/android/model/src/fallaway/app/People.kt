package fallaway.app

import fallaway.NewInvitation
import fallaway.Person
import fallaway.SecondUse
import fallaway.Role as Rights

/** Who has this instrument, and what each may do; invites, compares and removes. */
class People(phone: Phone) : Screen(phone) {
    override val name = "people"
    private var people = emptyList<Person>()
    private var mayInvite = false
    private var secondUses = emptyList<SecondUse>()
    private var opened: String? = null
    private var removes = false
    private var invitation: NewInvitation? = null
    private var recovery: String? = null

    override fun load() {
        val details = phone.instrument.details()
        people = details.people
        secondUses = details.secondUses
        mayInvite = details.role == Rights.OWNER
        phone.rights = details.role
    }

    override fun body() = buildList {
        add(heading(Say.PEOPLE))
        invitation?.let { invited(it) }
        people.forEachIndexed { at, one ->
            val here = one.fingerprint == opened
            add(
                Element(
                    "person.${at + 1}", Role.ROW, one.label, detail = role(one.role),
                    state = when {
                        one.thisDevice -> say(Say.THIS_DEVICE_IS_IT)
                        one.compared -> say(Say.COMPARED)
                        else -> say(Say.NOT_COMPARED)
                    },
                    touch = true, chosen = here,
                ),
            )
            if (here) about(one)
        }
        secondUses.forEachIndexed { at, one -> add(Element("second.${at + 1}", Role.CAUTION, one.text.sentence())) }
        if (mayInvite && invitation == null) {
            add(button("invite.contributor", Say.INVITE_TO_WRITE, main = true))
            add(button("invite.viewer", Say.INVITE_TO_READ))
            add(button("invite.own", Say.INVITE_OWN))
            add(button("recovery", Say.RECOVERY_WORDS))
            recovery?.let {
                add(Element("recovery.words", Role.TEXT, it, varies = true))
                add(Element("recovery.about", Role.CAUTION, say(Say.RECOVERY_ABOUT)))
                add(button("recovery.written", Say.WRITTEN_DOWN))
            }
        }
    }

    private fun MutableList<Element>.invited(it: NewInvitation) {
        add(Element("invitation", Role.BANNER, say(Say.INVITATION_READY), detail = say(Say.INVITATION_ABOUT, phone.day(it.expires))))
        add(Element("words", Role.TEXT, it.words, varies = true))
        add(Element("code", Role.CODE, say(Say.CODE_FOR_CAMERA), value = it.code, varies = true))
        add(button("file", Say.SEND_THE_FILE, main = true))
        add(button("invitation.close", Say.CLOSE))
    }

    private fun MutableList<Element>.about(one: Person) {
        add(Element("fingerprint", Role.TEXT, one.fingerprint, detail = say(Say.COMPARE_ABOUT), varies = true))
        if (one.thisDevice) return
        if (!one.compared) add(button("compared", Say.IT_IS_THE_SAME))
        if (!mayInvite) return
        ROLES.forEach { (id, rights) -> add(choice("role.$id", role(rights).sentence(), one.role == rights)) }
        if (removes) {
            add(Element("remove.sure", Role.CAUTION, say(Say.REMOVE_ABOUT, one.label)))
            add(button("remove.yes", Say.REMOVE_NOW))
        } else {
            add(button("remove", Say.REMOVE))
        }
    }

    private fun role(rights: Rights) = say(
        when (rights) {
            Rights.OWNER -> Say.OWNER
            Rights.CONTRIBUTOR -> Say.CONTRIBUTOR
            Rights.VIEWER -> Say.VIEWER
            Rights.NEWER -> Say.NEWER_ROLE
        },
    )

    override fun touched(id: String) {
        val who = opened
        when (id) {
            "invite.contributor" -> invitation = phone.instrument.invite(Rights.CONTRIBUTOR)
            "invite.viewer" -> invitation = phone.instrument.invite(Rights.VIEWER)
            "invite.own" -> invitation = phone.instrument.inviteOwnDevice(Rights.OWNER)
            "invitation.close" -> invitation = null
            "file" -> {
                val all = phone.instrument.bundleOut()
                val instrument = phone.instrument
                phone.share(FILE, all.file) { instrument.delivered(all.token) }
            }
            "recovery" -> recovery = phone.instrument.recoveryWords() ?: say(Say.NO_RECOVERY)
            "recovery.written" -> {
                phone.instrument.recoveryWordsWrittenDown()
                recovery = null
            }
            "compared" -> who?.let { phone.instrument.compared(it) }
            "remove" -> removes = true
            "remove.yes" -> who?.let { phone.instrument.removeMember(it, true) }
            else -> {
                ROLES.firstOrNull { id == "role.${it.first}" }?.let { (_, rights) -> who?.let { phone.instrument.setRole(it, rights) } }
                id.place("person")?.let(people::getOrNull)?.let {
                    opened = it.fingerprint.takeIf { one -> one != opened }
                    removes = false
                    return
                }
            }
        }
        if (id == "remove.yes") removes = false
        load()
    }

    override fun kept() = opened?.let { mapOf("opened" to it) }.orEmpty()

    override fun restore(kept: Map<String, String>) {
        opened = people.map { it.fingerprint }.firstOrNull { it == kept["opened"] }
    }

    companion object {
        /** What a file is called that goes to other people. */
        const val FILE = "set-up.fallaway"
        private val ROLES = listOf("viewer" to Rights.VIEWER, "contributor" to Rights.CONTRIBUTOR, "owner" to Rights.OWNER)
    }
}
